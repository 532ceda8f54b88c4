const look = document.getElementById("look");
look.addEventListener("change", () => {
  if (look.value) document.documentElement.dataset.look = look.value;
  else delete document.documentElement.dataset.look;
});

// What is asked for is opened, with all around it; gives what is then looked at.
function goTo(id) {
  const target = id && document.getElementById(id);
  if (!target) return null;
  if (target.classList.contains("plan")) target.querySelector(".plan-sheet").open = true;
  openAround(target);
  const sheet = target.querySelector(":scope > .plan-sheet") || sheetOf(target);
  if (sheet) ready(sheet);
  const item = target.closest(".finding");
  if (item) light(sheet, item.dataset.number);
  const isOpened = target.parentElement.localName === "details";
  const opened = isOpened ? target.parentElement : target.querySelector(":scope > .plan-sheet");
  const head = opened ? opened.querySelector(":scope > summary") : target;
  head.scrollIntoView({ block: "start" });
  return head;
}

function goToAddress() {
  let id = "";
  try {
    id = decodeURIComponent(window.location.hash.slice(1));
  } catch {
    return;
  }
  goTo(id);
}

document.addEventListener("click", (event) => {
  const link = event.target.closest('a[href^="#"]');
  if (!link || event.defaultPrevented) return;
  const id = link.getAttribute("href").slice(1);
  const head = goTo(id);
  if (!head) return;
  // Else the browser would go there once more, and take the focus away.
  event.preventDefault();
  window.history.pushState(null, "", `#${id}`);
  head.focus({ preventScroll: true });
});
window.addEventListener("hashchange", goToAddress);
