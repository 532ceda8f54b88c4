const sift = document.getElementById("sift");

const ticked = (name, on) =>
  new Set(
    all(`input[name="${name}"]`, sift).filter((box) => box.checked === on).map((box) => box.value)
  );

function isOff(item, kindsOff, rulesOff) {
  return kindsOff.has(item.dataset.kind) || rulesOff.has(item.dataset.rule);
}

function setOff(thing, off) {
  if (off) thing.setAttribute("data-off", "");
  else thing.removeAttribute("data-off");
}

// Hides on the drawing what is hidden in the list.
function sheetSift(sheet) {
  const off = new Set();
  for (const item of all(".finding", sheet)) {
    if (item.hasAttribute("data-off")) off.add(item.dataset.number);
  }
  for (const mark of all(".view [data-finding]", sheet)) {
    setOff(mark, off.has(mark.dataset.finding));
  }
  for (const svg of all(".view svg", sheet)) {
    const shown = all(".balloon:not([data-off])", svg);
    if (shown.length && !shown.some((each) => each.getAttribute("tabindex") === "0")) {
      shown[0].setAttribute("tabindex", "0");
    }
  }
  const lit = sheet.querySelector(".finding.is-lit[data-off]");
  if (lit) unlight(sheet);
}

function siftAll() {
  const kindsOff = ticked("kind", false);
  const rulesOff = ticked("rule", false);
  let shown = 0;
  let whole = 0;
  for (const sheet of all(".plan-sheet")) {
    const items = all(".finding", sheet);
    let here = 0;
    for (const item of items) {
      const off = isOff(item, kindsOff, rulesOff);
      setOff(item, off);
      if (!off) here += 1;
    }
    const words = sheet.querySelector(".hidden-words");
    if (words) {
      const left = items.length - here;
      words.hidden = !left;
      words.textContent = `${left} of ${items.length} not shown: see what is ticked at the top.`;
    }
    shown += here;
    whole += items.length;
    if (sheet.dataset.ready) sheetSift(sheet);
  }
  const said = shown === whole ? "" : `${shown} of ${whole} findings shown`;
  document.getElementById("shown").textContent = said;
  const rules = document.getElementById("rules-shown");
  if (rules) rules.textContent = amountOf("rule");
}

function amountOf(name) {
  const boxes = all(`input[name="${name}"]`, sift);
  const on = boxes.filter((box) => box.checked).length;
  return on === boxes.length ? String(on) : `${on} of ${boxes.length}`;
}

function siftLayers() {
  main.dataset.layersOff = Array.from(ticked("layer", false)).join(" ");
  const words = document.getElementById("layers-shown");
  if (words) words.textContent = amountOf("layer");
}

function tickRules(on) {
  for (const box of all('input[name="rule"]', sift)) box.checked = on;
  siftAll();
}

sift.addEventListener("change", (event) => {
  if (event.target.name === "layer") siftLayers();
  else siftAll();
});
for (const [id, on] of [["all-rules", true], ["no-rule", false]]) {
  const button = document.getElementById(id);
  if (button) button.addEventListener("click", () => tickRules(on));
}

const choices = all(".choice", sift);
document.addEventListener("click", (event) => {
  for (const choice of choices) {
    if (!choice.contains(event.target)) choice.open = false;
  }
});
sift.addEventListener("keydown", (event) => {
  const choice = event.target.closest(".choice[open]");
  if (event.key !== "Escape" || !choice) return;
  choice.open = false;
  choice.querySelector("summary").focus();
});

readyTo.push(sheetSift);
siftAll();
siftLayers();
