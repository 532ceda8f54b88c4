const main = document.getElementById("plans");
const all = (selector, root) => Array.from((root || document).querySelectorAll(selector));
const readyTo = [];

// With scripts on, a browser keeps what is in <noscript> as text: nothing is drawn before it is
// looked at. With scripts off it is simply part of the page.
function unfold(root) {
  for (const lazy of all("noscript.lazy", root)) {
    // What stands in a closed list is unfolded when it opens.
    const closed = lazy.parentElement.closest("details:not([open])");
    if (closed && root.contains(closed)) continue;
    const holder = document.createElement("template");
    holder.innerHTML = lazy.textContent;
    for (const text of all("text[textLength]", holder.content)) {
      text.setAttribute("lengthAdjust", "spacingAndGlyphs");
    }
    lazy.replaceWith(holder.content);
  }
}

function sheetOf(thing) {
  return thing.closest(".plan-sheet");
}

function openAround(thing) {
  for (let at = thing; at; at = at.parentElement) {
    if (at.localName === "details" && !at.open) at.open = true;
    at.removeAttribute("data-off");
  }
}

// The toggle event comes late; what opens a list to look into it readies it at once.
function ready(sheet) {
  if (!sheet.open || sheet.dataset.ready) return;
  sheet.dataset.ready = "yes";
  unfold(sheet);
  for (const each of readyTo) each(sheet);
}

document.documentElement.dataset.scripts = "";
for (const tool of all(".needs-script")) tool.hidden = false;
