// What is decided on a page that stands by itself is kept while it is open, also when it is loaded
// anew, and saved as the file that belongs beside the plan.
const decided = new Map();

function today() {
  const now = new Date();
  const two = (part) => String(part).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

const shelf = (plan) => `underfoot ${window.location.pathname} ${plan.id}`;

function remember(plan) {
  const held = decided.get(plan);
  try {
    const wishes = Array.from(held.wishes);
    sessionStorage.setItem(shelf(plan), JSON.stringify([held.text, wishes, held.isSaved]));
  } catch {
    // Then it is kept as long as the page is not loaded anew, which is warned of.
  }
}

function recall(plan) {
  const held = { text: JSON.parse(reviewOf(plan).content.textContent), wishes: new Map() };
  held.isSaved = true;
  try {
    const [text, wishes, isSaved] = JSON.parse(sessionStorage.getItem(shelf(plan)));
    if (text === held.text) Object.assign(held, { wishes: new Map(wishes), isSaved });
  } catch {
    // Nothing was kept.
  }
  decided.set(plan, held);
}

async function keepDecision(plan, item, wish) {
  const held = decided.get(plan);
  held.wishes.set(item ? Number(item.dataset.number) : 0, { ...wish, date: today() });
  held.isSaved = false;
  remember(plan);
  afterDeciding(plan);
  return "";
}

function saveReview(plan) {
  const held = decided.get(plan);
  const link = element("a");
  link.download = reviewOf(plan).dataset.name;
  link.href = URL.createObjectURL(
    new Blob([writeReview(held.text, held.wishes)], { type: "application/yaml" })
  );
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  held.isSaved = true;
  remember(plan);
  afterDeciding(plan);
}

function saveButton(plan) {
  const button = element("button", `Save ${reviewOf(plan).dataset.name}`);
  button.type = "button";
  button.addEventListener("click", () => saveReview(plan));
  return button;
}

// The line of a finding says what was decided about it, too.
function showStand(item, word) {
  if (!item) return;
  const stand = item.querySelector(".stand") || element("bdi", "", "stand");
  stand.textContent = word;
  lineOf(item).append(stand);
}

// In place of what the review beside the plan says stands what was decided here.
function showDecided(box, wish) {
  const item = box.parentElement;
  for (const old of all(":scope > .decided", box)) old.remove();
  item.classList.toggle("is-decided", Boolean(wish));
  if (!wish) return;
  showStand(box.closest(".finding"), wish.decision === "open" ? "taken back" : wish.decision);
  const words = element("div", "", "decided");
  const said = element("p");
  words.append(element("h5", "Decided here"), said);
  if (wish.decision === "open") said.append("taken back");
  else {
    said.append(element("strong", wish.decision), wish.reason ? `: ${wish.reason} ` : " ");
    said.append(element("span", `${wish.by}, ${wish.date}`, "quiet"));
  }
  box.prepend(words);
  box.show(wish.decision === "open" ? "" : wish.decision);
}

function afterDeciding(plan) {
  const { wishes, isSaved } = decided.get(plan);
  for (const box of all(".decide", plan)) {
    const item = box.closest(".finding");
    showDecided(box, wishes.get(item ? Number(item.dataset.number) : 0));
  }
  const whole = plan.querySelector(".decide-plan");
  if (whole) {
    const name = reviewOf(plan).dataset.plan;
    const words = isSaved
      ? `Saved: put the file beside ${name}, in place of an earlier one.`
      : `Not saved yet. Save it and put the file beside ${name}: “underfoot review” takes it up.`;
    const foot = whole.querySelector(".to-save") || element("p", "", "to-save");
    foot.replaceChildren(saveButton(plan), " ", element("span", words, "quiet"));
    foot.hidden = !wishes.size;
    whole.append(foot);
  }
  showUnsaved();
}

const unsaved = () => Array.from(decided.keys()).filter((plan) => !decided.get(plan).isSaved);
const unsavedWords = element("p", "", "afloat unsaved");
unsavedWords.setAttribute("role", "status");
main.append(unsavedWords);

function showUnsaved() {
  const plans = unsaved();
  unsavedWords.replaceChildren();
  if (plans.length) unsavedWords.append("Decided, not saved: ", ...plans.map(saveButton));
}

for (const held of all("template.review")) recall(planOf(held));
showUnsaved();
window.addEventListener("beforeunload", (event) => {
  if (unsaved().length) event.preventDefault();
});
