const stillness = window.matchMedia("(prefers-reduced-motion: reduce)");
const howToScroll = () => (stillness.matches ? "instant" : "smooth");

function unlight(sheet) {
  for (const each of all(".is-lit", sheet)) each.classList.remove("is-lit");
  for (const each of all(".ring", sheet)) each.remove();
  for (const each of all('.balloon[aria-pressed="true"]', sheet)) {
    each.setAttribute("aria-pressed", "false");
  }
  for (const each of all(".locate[aria-current]", sheet)) each.removeAttribute("aria-current");
  for (const room of all(".room", sheet)) {
    delete room.dataset.lit;
    room.querySelector(".view").classList.remove("has-lit");
    room.querySelector(".lit").hidden = true;
    room.querySelector('[data-zoom="place"]').disabled = true;
  }
}

// What lies beside a thing would cover half of its edge: its ring is drawn over all but lettering.
function ring(mark) {
  const copy = mark.cloneNode(true);
  for (const each of [copy, ...all("*", copy)]) {
    each.removeAttribute("data-item");
    each.removeAttribute("data-circuit");
    if (each.hasAttribute("fill")) each.setAttribute("fill", "none");
  }
  copy.classList.add("ring");
  const svg = mark.closest("svg");
  const label = svg.querySelector(".label");
  svg.insertBefore(copy, label && label.closest("svg > g"));
}

// Lights a finding in the list and its place in the drawing.
function light(sheet, number) {
  unlight(sheet);
  const item = sheet.querySelector(`.finding[data-number="${number}"]`);
  item.classList.add("is-lit");
  const room = sheet.querySelector(`.room[data-room="${item.dataset.room}"]`);
  if (!room) return item;
  showRoom(sheet, item.dataset.room);
  item.querySelector(".locate").setAttribute("aria-current", "true");
  const view = room.querySelector(".view");
  room.dataset.lit = number;
  view.classList.add("has-lit");
  for (const mark of all(`[data-finding="${number}"]`, view)) {
    mark.classList.add("is-lit");
    if (mark.classList.contains("balloon")) mark.setAttribute("aria-pressed", "true");
  }
  const items = new Set(JSON.parse(item.dataset.items));
  for (const mark of all("[data-item]", view)) {
    if (items.has(mark.getAttribute("data-item"))) ring(mark);
  }
  // A circuit may lie in several rooms.
  const circuits = new Set(JSON.parse(item.dataset.circuits || "[]"));
  for (const mark of all(".view [data-circuit]", sheet)) {
    if (circuits.has(mark.getAttribute("data-circuit"))) ring(mark);
  }
  const words = all(".severity, .about", item).map((each) => each.textContent).join(" ");
  room.querySelector(".lit-words").textContent = `Finding ${number}, ${words}`;
  room.querySelector(".lit").hidden = false;
  const place = placeOf(room, number);
  room.querySelector('[data-zoom="place"]').disabled = !place;
  if (place && zoomOf(view) > 1) showPlace(view, place);
  return item;
}

function isInSight(thing) {
  const box = thing.getBoundingClientRect();
  return box.top >= 0 && box.top + Math.min(box.height, 200) <= window.innerHeight;
}

const litView = (sheet) => sheet.querySelector(".room[data-lit] .view");

function goToDrawing(sheet) {
  const view = litView(sheet);
  if (view && !isInSight(view)) {
    view.closest(".room").scrollIntoView({ block: "start", behavior: howToScroll() });
  }
}

const lineOf = (item) => item.querySelector(".finding-sheet > summary");

function goToFinding(item) {
  item.querySelector(".finding-sheet").open = true;
  item.scrollIntoView({ block: "nearest", behavior: howToScroll() });
  lineOf(item).focus({ preventScroll: true });
}

function moveAmongBalloons(balloon, key) {
  const shown = all(".balloon:not([data-off])", balloon.closest("svg"));
  const at = shown.indexOf(balloon);
  const steps = { ArrowRight: at + 1, ArrowDown: at + 1, ArrowLeft: at - 1, ArrowUp: at - 1 };
  const next = { ...steps, Home: 0, End: shown.length - 1 }[key];
  const chosen = next === undefined ? null : shown[(next + shown.length) % shown.length];
  if (!chosen) return false;
  for (const each of shown) each.setAttribute("tabindex", each === chosen ? "0" : "-1");
  chosen.focus();
  return true;
}

readyTo.push((sheet) => {
  const list = sheet.querySelector(".finding-list");
  if (!list) return;
  list.addEventListener("click", (event) => {
    const item = event.target.closest(".finding");
    if (!item) return;
    // Opening a line lights its place; closing it puts the light out.
    if (lineOf(item).contains(event.target)) {
      const isOpening = !item.querySelector(".finding-sheet").open;
      if (isOpening) light(sheet, item.dataset.number);
      else if (item.classList.contains("is-lit")) unlight(sheet);
      return;
    }
    const locate = event.target.closest(".locate");
    const other = event.target.closest("a:not(.locate), .finding-body details, button, input, label");
    if (!item.dataset.room || item.contains(other)) return;
    if (locate) event.preventDefault();
    else if (String(window.getSelection())) return;
    light(sheet, item.dataset.number);
    if (locate) goToDrawing(sheet);
  });
  for (const view of all(".view", sheet)) {
    view.addEventListener("click", (event) => {
      if (view.dataset.dragged) return;
      const mark = event.target.closest("[data-finding]");
      if (mark) goToFinding(light(sheet, mark.dataset.finding));
    });
    view.addEventListener("keydown", (event) => {
      const balloon = event.target.closest(".balloon");
      if (!balloon) return;
      if (event.key === "Enter" || event.key === " ") {
        event.preventDefault();
        goToFinding(light(sheet, balloon.dataset.finding));
      } else if (moveAmongBalloons(balloon, event.key)) {
        event.preventDefault();
      }
    });
  }
  for (const button of all(".to-finding", sheet)) {
    button.addEventListener("click", () => {
      const number = button.closest(".room").dataset.lit;
      goToFinding(sheet.querySelector(`.finding[data-number="${number}"]`));
    });
  }
  sheet.addEventListener("keydown", (event) => {
    if (event.key === "Escape") unlight(sheet);
  });
});

// Where all plans are opened at once, each is drawn when it comes near to sight.
const sight = new IntersectionObserver(
  (entries) => {
    for (const entry of entries) {
      if (!entry.isIntersecting) continue;
      sight.unobserve(entry.target);
      ready(entry.target);
    }
  },
  { rootMargin: "100% 0px" }
);

const ruleSheet = (name) => all(".rule-sheet").find((each) => each.dataset.rule === name);

// A rule stands on the page once; where it is asked for, a copy of it unfolds.
document.addEventListener(
  "toggle",
  (event) => {
    const details = event.target;
    if (!details.open) return;
    if (details.classList.contains("plan-sheet")) sight.observe(details);
    else if (sheetOf(details)) unfold(details);
    if (!details.classList.contains("explain") || details.dataset.ready) return;
    const rule = ruleSheet(details.dataset.rule);
    if (!rule) return;
    details.dataset.ready = "yes";
    details.querySelector(".explained").replaceChildren(
      ...Array.from(rule.querySelector(".rule-body").cloneNode(true).childNodes)
    );
  },
  true
);
