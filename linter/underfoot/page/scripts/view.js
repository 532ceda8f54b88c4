// What somebody sees of a plan and is about to write: kept while the plan is drawn anew.
const nameOfRoom = (room) => room.querySelector("figcaption strong").textContent;

function keyOfDetails(details) {
  const inside = details.closest(".finding, .room");
  const around = !inside ? "" : inside.matches(".room") ? nameOfRoom(inside) : keyOf(inside);
  return `${around} ${details.className}`;
}

function draftOf(box) {
  const form = box.querySelector("form");
  const at = document.activeElement;
  return {
    key: keyOf(box.closest(".finding")),
    word: box.dataset.draft,
    reason: form.reason.value,
    by: form.by.value,
    focus: form.contains(at) ? at.name : "",
    caret: form.contains(at) && at.name ? at.selectionStart : 0,
  };
}

// The topmost finding in sight, so that it stays where it is on the screen.
function anchorOf(plan) {
  const item = all(".finding", plan).find((each) => each.getBoundingClientRect().bottom > 80);
  return item ? [keyOf(item), item.getBoundingClientRect().top] : ["", 0];
}

function focusOf(plan) {
  const at = document.activeElement;
  if (!plan.contains(at)) return null;
  if (at.matches(".view")) return { view: nameOfRoom(at.closest(".room")) };
  if (at.matches(".locate, .finding-sheet > summary")) return { finding: keyOf(at.closest(".finding")) };
  return at.closest(".plan-sheet > summary") ? { summary: true } : null;
}

function viewOf(plan) {
  const sheet = plan.querySelector(".plan-sheet");
  const lit = plan.querySelector(".finding.is-lit");
  return {
    open: sheet.open,
    rooms: all(".room", plan).map((room) => {
      const view = room.querySelector(".view");
      return {
        name: nameOfRoom(room), shown: !room.classList.contains("is-aside"), zoom: zoomOf(view),
        left: view.scrollLeft, top: view.scrollTop,
      };
    }),
    roomsTop: (plan.querySelector(".rooms") || {}).scrollTop || 0,
    lit: lit ? keyOf(lit) : "",
    details: all("details[open]", sheet).map(keyOfDetails),
    drafts: all(".decide[data-draft]:not([data-draft=''])", plan).map(draftOf),
    anchor: anchorOf(plan),
    scroll: window.scrollY,
    focus: focusOf(plan),
  };
}

function restoreDrafts(plan, drafts) {
  for (const draft of drafts) {
    const box = all(".decide", plan).find((each) => keyOf(each.closest(".finding")) === draft.key);
    if (!box) continue;
    box.begin(draft.word);
    const form = box.querySelector("form");
    form.reason.value = draft.reason;
    form.by.value = draft.by;
    document.activeElement.blur();
    if (!draft.focus) continue;
    form[draft.focus].focus({ preventScroll: true });
    form[draft.focus].setSelectionRange(draft.caret, draft.caret);
  }
}

function restoreFocus(plan, focus) {
  if (!focus) return;
  const rooms = all(".room", plan);
  const items = all(".finding", plan);
  const room = rooms.find((each) => nameOfRoom(each) === focus.view);
  const item = items.find((each) => keyOf(each) === focus.finding);
  const target = room
    ? room.querySelector(".view")
    : item
      ? lineOf(item)
      : focus.summary && plan.querySelector(".plan-sheet > summary");
  if (target) target.focus({ preventScroll: true });
}

function restoreView(plan, was) {
  const sheet = plan.querySelector(".plan-sheet");
  sheet.open = was.open;
  if (!was.open) return;
  plan.querySelector(".plan-body").style.contentVisibility = "visible";
  ready(sheet);
  const items = all(".finding", plan);
  const lit = items.find((each) => keyOf(each) === was.lit);
  if (lit) light(sheet, lit.dataset.number);
  for (const details of all("details", sheet)) {
    if (was.details.includes(keyOfDetails(details))) details.open = true;
  }
  for (const room of all(".room", plan)) {
    const before = was.rooms.find((each) => each.name === nameOfRoom(room));
    if (!before) continue;
    if (before.shown) showRoom(sheet, room.dataset.room);
    const view = room.querySelector(".view");
    if (!view.querySelector("svg")) continue;
    setZoom(view, before.zoom);
    view.scrollLeft = before.left;
    view.scrollTop = before.top;
  }
  restoreDrafts(plan, was.drafts);
  restoreFocus(plan, was.focus);
  const rooms = plan.querySelector(".rooms");
  if (rooms) rooms.scrollTop = was.roomsTop;
  const [key, top] = was.anchor;
  const anchor = key && items.find((each) => keyOf(each) === key);
  const moved = anchor ? anchor.getBoundingClientRect().top - top : was.scroll - window.scrollY;
  window.scrollBy({ top: moved, behavior: "instant" });
}
