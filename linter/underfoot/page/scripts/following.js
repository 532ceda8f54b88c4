// The desk says how every plan stands; what differs from what is shown is fetched and put in place.
const TOO_MANY = 12;
const NO_ANSWER = "The desk does not answer: what stands here may be out of date.";
const silence = element("p", NO_ANSWER, "silence");
silence.setAttribute("role", "alert");
silence.hidden = true;
main.prepend(silence);
const changedWords = element("p", "", "afloat changed-words");
changedWords.setAttribute("role", "status");
changedWords.title = "Click to put this away";
changedWords.addEventListener("click", () => changedWords.replaceChildren());
main.append(changedWords);

function thingsIn(plan) {
  const found = new Map();
  for (const room of all(".room", plan)) {
    for (const mark of all(".view [data-item]", room)) {
      const key = JSON.stringify([nameOfRoom(room), mark.getAttribute("data-item")]);
      found.set(key, (found.get(key) || "") + mark.outerHTML);
    }
  }
  return found;
}

const keysOf = (plan) => new Set(all(".finding", plan).map(keyOf));

function lightChanged(plan, room, name) {
  for (const mark of all(".view [data-item]", room)) {
    if (mark.getAttribute("data-item") === name) ringChanged(mark);
  }
}

function namesOf(keys, areRooms) {
  const named = keys.slice(0, TOO_MANY).map((key) => {
    const [room, name] = JSON.parse(key);
    return areRooms ? `${room} · ${name}` : name;
  });
  const more = keys.length - named.length;
  return named.join(", ") + (more ? ` and ${more} more` : "");
}

// Lights what has changed on the drawing and in the list, and says it in a line.
function showChanges(plan, before) {
  const said = [];
  const after = thingsIn(plan);
  const rooms = all(".room", plan);
  if (before.things.size && after.size && plan.dataset.verdict !== "unreadable") {
    const changed = Array.from(after.keys()).filter(
      (key) => before.things.get(key) !== after.get(key)
    );
    const gone = Array.from(before.things.keys()).filter((key) => !after.has(key));
    if (changed.length === after.size && changed.length > 3) said.push("changed: all of the drawing");
    else {
      for (const key of changed) {
        const [room, name] = JSON.parse(key);
        lightChanged(plan, rooms.find((each) => nameOfRoom(each) === room), name);
      }
      if (changed.length) said.push(`changed: ${namesOf(changed, rooms.length > 1)}`);
    }
    if (gone.length) said.push(`gone: ${namesOf(gone, rooms.length > 1)}`);
  }
  const isRead = plan.dataset.verdict !== "unreadable";
  if (before.isRead !== isRead) said.push(isRead ? "can be read again" : "cannot be read now");
  if (before.isRead && isRead) {
    const keys = keysOf(plan);
    const fresh = all(".finding", plan).filter((item) => !before.keys.has(keyOf(item)));
    for (const item of fresh) item.classList.add("is-fresh");
    const cleared = Array.from(before.keys).filter((key) => !keys.has(key)).length;
    if (cleared) said.push(`${cleared} finding${cleared > 1 ? "s" : ""} cleared`);
    if (fresh.length) said.push(`${fresh.length} new finding${fresh.length > 1 ? "s" : ""}`);
  }
  return said.join("; ");
}

function tell(plan, said) {
  if (!said) return;
  const name = plan.dataset.path.split("/").pop();
  const time = new Date().toTimeString().slice(0, 8);
  changedWords.replaceChildren(element("strong", `${name}, ${time}`), `: ${said}.`);
}

function swap(fresh) {
  const old = document.getElementById(fresh.id);
  if (!old) return;
  const before = {
    things: thingsIn(old), keys: keysOf(old), isRead: old.dataset.verdict !== "unreadable",
  };
  const was = viewOf(old);
  for (const tool of all(".needs-script", fresh)) tool.hidden = false;
  old.replaceWith(fresh);
  restoreView(fresh, was);
  if (was.open) tell(fresh, showChanges(fresh, before));
}

// Keeps what is ticked; what comes newly is ticked.
function swapRules(fresh) {
  const off = ticked("rule", false);
  const list = document.getElementById("rules-list");
  for (const label of all("label", list)) label.remove();
  for (const label of all("#rules-list label", fresh)) {
    const box = label.querySelector("input");
    box.checked = !off.has(box.value);
    list.append(label);
  }
}

function swapAmounts(fresh) {
  for (const box of all('input[name="kind"]', fresh)) {
    const amount = box.closest("label").querySelector(".amount").textContent;
    const here = sift.querySelector(`input[name="kind"][value="${box.value}"]`);
    here.closest("label").querySelector(".amount").textContent = amount;
  }
}

// The rules that found something are explained; what comes newly to do so is added.
function addRules(fresh) {
  for (const rule of all(".rule-sheet", fresh)) {
    if (!ruleSheet(rule.dataset.rule)) document.querySelector(".rules").append(rule);
  }
}

function swapRegister(fresh) {
  const old = document.querySelector(".register");
  if (!old || !fresh) return;
  for (const part of [".tally", ".start", "tbody"]) {
    old.querySelector(part).replaceWith(fresh.querySelector(part));
  }
  siftPlans();
}

// Where the desk does not answer, its silence is told apart from this.
async function fetchParts(plans) {
  try {
    const answer = await fetch(`parts?plans=${plans.map(placeOfPlan).join(",")}`);
    return answer.ok ? await answer.text() : "";
  } catch {
    return "";
  }
}

async function follow(news) {
  if (String(news.edition) !== main.dataset.edition) {
    loadAnew();
    return;
  }
  const stale = all(".plan").filter(
    (plan) => plan.dataset.version !== String(news.versions[placeOfPlan(plan)])
  );
  if (!stale.length) return;
  const parts = await fetchParts(stale);
  if (!parts) return;
  // Not by a parser of its own: that would take what waits in <noscript> for part of the page.
  const holder = document.createElement("div");
  holder.innerHTML = parts;
  if (holder.querySelector("main").dataset.edition !== main.dataset.edition) {
    loadAnew();
    return;
  }
  swapRules(holder);
  swapAmounts(holder.querySelector("#sift"));
  document.title = holder.querySelector("title").textContent;
  swapRegister(holder.querySelector(".register"));
  addRules(holder);
  for (const plan of all(".plan", holder)) swap(plan);
  siftAll();
  siftLayers();
}

const KEPT = "underfoot desk";

function loadAnew() {
  const views = all(".plan").map((plan) => [plan.dataset.path, viewOf(plan)]);
  const off = { rule: Array.from(ticked("rule", false)), kind: Array.from(ticked("kind", false)) };
  const layers = Array.from(ticked("layer", true));
  try {
    sessionStorage.setItem(
      KEPT, JSON.stringify({ views, off, layers, look: look.value, scroll: window.scrollY })
    );
  } catch {
    // Then the page begins at its top.
  }
  window.location.reload();
}

function comeBack() {
  let kept;
  try {
    kept = JSON.parse(sessionStorage.getItem(KEPT));
    sessionStorage.removeItem(KEPT);
  } catch {
    return;
  }
  if (!kept) return;
  look.value = kept.look;
  look.dispatchEvent(new Event("change"));
  for (const box of all("input[type=checkbox]", sift)) {
    if (box.name === "layer") box.checked = kept.layers.includes(box.value);
    else if (kept.off[box.name].includes(box.value)) box.checked = false;
  }
  siftAll();
  siftLayers();
  for (const [path, view] of kept.views) {
    const plan = all(".plan").find((each) => each.dataset.path === path);
    if (plan) restoreView(plan, view);
  }
  window.scrollTo({ top: kept.scroll, behavior: "instant" });
}

comeBack();
let following = Promise.resolve();
const newsFrom = new EventSource("news");
newsFrom.addEventListener("open", () => {
  silence.hidden = true;
});
newsFrom.addEventListener("error", () => {
  silence.hidden = false;
});
newsFrom.addEventListener("message", (event) => {
  following = following.then(() => follow(JSON.parse(event.data))).catch(reportError);
});
