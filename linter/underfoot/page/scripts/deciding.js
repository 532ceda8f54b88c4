// Where a review comes with a plan, its findings and the plan as a whole can be decided about.
// What becomes of a decision is `keepDecision`'s affair: here it is only asked for.
const ABOUT_A_FINDING = ["accepted", "to be mended", "question"];
const ABOUT_THE_PLAN = [
  "no objection", "no objection with comments", "insufficient information", "revise and resubmit",
];
const decideForm = document.getElementById("decide-form");
let lastName = "";

const planOf = (thing) => thing.closest(".plan");
const reviewOf = (plan) => plan.querySelector("template.review");

function element(name, text, kind) {
  const made = document.createElement(name);
  if (text) made.textContent = text;
  if (kind) made.className = kind;
  return made;
}

// A finding is known again by its rule and what it is about, whatever number it gets.
function keyOf(item) {
  return item ? `${item.dataset.rule} ${item.querySelector(".about").textContent}` : "";
}

function stands(words) {
  const said = words && !words.querySelector(".lapsed") && words.querySelector("strong");
  return said ? said.textContent : "";
}

function whyNot(plan, item, wish) {
  if (wish.decision === "open") return "";
  if (!wish.by) return "Give the name of whoever decides.";
  if (wish.reason) return "";
  if (item) return "Give a reason.";
  const said = plan.dataset.verdict.replaceAll("-", " ");
  const isLaxer = ABOUT_THE_PLAN.indexOf(wish.decision) < ABOUT_THE_PLAN.indexOf(said);
  return isLaxer ? `The check says “${said}”: give a reason why you decide otherwise.` : "";
}

function decideBox(plan, item, words) {
  const box = decideForm.content.firstElementChild.cloneNode(true);
  const wishes = box.querySelector(".wishes");
  const form = box.querySelector("form");
  const said = box.querySelector(".said");
  let chosen = "";

  function choose(word) {
    chosen = word;
    for (const button of all("button", wishes)) {
      button.setAttribute("aria-pressed", String(button.dataset.wish === (word || box.dataset.now)));
    }
    form.hidden = !word;
    box.dataset.draft = word;
  }

  async function keep(wish) {
    const why = whyNot(plan, item, wish);
    said.textContent = why || "…";
    const refused = why || (await keepDecision(plan, item, wish));
    said.textContent = refused;
    if (refused) return;
    if (wish.by) lastName = wish.by;
    choose("");
    form.reset();
  }

  for (const word of [...words, ...(item ? ["take back"] : [])]) {
    const button = element("button", word);
    button.type = "button";
    button.dataset.wish = word;
    button.addEventListener("click", () => {
      if (word === "take back") keep({ decision: "open" });
      else if (word === chosen) choose("");
      else box.begin(word);
    });
    wishes.append(button);
  }
  box.begin = (word) => {
    choose(word);
    said.textContent = "";
    form.by.value = form.by.value || lastName;
    form.reason.focus();
  };
  // What stands now: a word, or none.
  box.show = (word) => {
    box.dataset.now = word;
    const back = wishes.querySelector('[data-wish="take back"]');
    if (back) back.hidden = !word;
    choose(chosen);
  };
  box.say = (text) => {
    said.textContent = text;
  };
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    keep({ decision: chosen, reason: form.reason.value.trim(), by: form.by.value.trim() });
  });
  box.querySelector(".leave").addEventListener("click", () => choose(""));
  box.addEventListener("click", (event) => event.stopPropagation());
  return box;
}

readyTo.push((sheet) => {
  const plan = planOf(sheet);
  const list = sheet.querySelector(".findings");
  if (!decideForm || !list || !reviewOf(plan)) return;
  for (const item of all(".finding", sheet)) {
    const box = decideBox(plan, item, ABOUT_A_FINDING);
    const explain = item.querySelector(".explain");
    box.show(stands(item.querySelector(".decided")));
    explain.before(box);
  }
  const whole = element("section", "", "decide-plan");
  whole.append(element("h3", "Decide on the whole plan"), decideBox(plan, null, ABOUT_THE_PLAN));
  list.append(whole);
  whole.querySelector(".decide").show(stands(sheet.querySelector("section.decided")));
  afterDeciding(plan);
});
