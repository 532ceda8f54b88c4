const LARGEST = 12;
const STEP = 1.4;
const PAN = 60;

// A drawing lies in a box that scrolls; to enlarge it is to make it wider than its box.
function fitted(view, svg) {
  const box = svg.viewBox.baseVal;
  const most = parseFloat(getComputedStyle(view).maxHeight) || Infinity;
  return Math.min(view.clientWidth, (most * box.width) / box.height);
}

function setZoom(view, zoom, at) {
  const svg = view.querySelector("svg");
  if (!svg || !view.clientWidth) return;
  const before = svg.getBoundingClientRect();
  const frame = view.getBoundingClientRect();
  const point = at || { x: frame.left + frame.width / 2, y: frame.top + frame.height / 2 };
  const share = {
    x: (point.x - before.left) / (before.width || 1),
    y: (point.y - before.top) / (before.height || 1),
  };
  const larger = Math.min(Math.max(zoom, 1), LARGEST);
  view.dataset.zoom = String(larger);
  const box = svg.viewBox.baseVal;
  const whole = fitted(view, svg);
  svg.style.width = `${whole * larger}px`;
  svg.style.height = `${(whole * larger * box.height) / box.width}px`;
  view.style.height = larger > 1 ? `${Math.max((whole * box.height) / box.width, 240)}px` : "";
  view.classList.toggle("is-larger", larger > 1);
  const after = svg.getBoundingClientRect();
  view.scrollLeft += after.left + share.x * after.width - point.x;
  view.scrollTop += after.top + share.y * after.height - point.y;
  const tools = view.parentElement.querySelector(".tools");
  tools.querySelector('[data-zoom="out"]').disabled = larger <= 1;
  tools.querySelector('[data-zoom="in"]').disabled = larger >= LARGEST;
}

const zoomOf = (view) => Number(view.dataset.zoom || 1);

function showPlace(view, target, zoom) {
  if (zoom) setZoom(view, zoom);
  const place = target.getBoundingClientRect();
  const frame = view.getBoundingClientRect();
  view.scrollBy({
    left: place.left + place.width / 2 - frame.left - frame.width / 2,
    top: place.top + place.height / 2 - frame.top - frame.height / 2,
  });
}

function placeOf(room, number) {
  const marks = all(`[data-finding="${number}"]`, room.querySelector(".view"));
  return marks.find((mark) => mark.classList.contains("fault")) || marks[0];
}

function zoomToPlace(room) {
  const view = room.querySelector(".view");
  const target = placeOf(room, room.dataset.lit);
  if (!target) return;
  setZoom(view, 1);
  const place = target.getBoundingClientRect();
  const frame = view.getBoundingClientRect();
  const fits = Math.min(
    frame.width / Math.max(place.width * 1.6, 40), frame.height / Math.max(place.height * 1.6, 40)
  );
  showPlace(view, target, Math.min(Math.max(fits, 1.6), 5));
}

function pan(view, right, down) {
  view.scrollBy({ left: right * PAN, top: down * PAN });
}

const KEYS = {
  "+": (view) => setZoom(view, zoomOf(view) * STEP),
  "=": (view) => setZoom(view, zoomOf(view) * STEP),
  "-": (view) => setZoom(view, zoomOf(view) / STEP),
  "0": (view) => setZoom(view, 1),
  ArrowLeft: (view) => pan(view, -1, 0),
  ArrowRight: (view) => pan(view, 1, 0),
  ArrowUp: (view) => pan(view, 0, -1),
  ArrowDown: (view) => pan(view, 0, 1),
};

function takeDrag(view) {
  const fingers = new Map();
  let apart = 0;
  const span = () => {
    const [a, b] = Array.from(fingers.values());
    return { size: Math.hypot(a.x - b.x, a.y - b.y), x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
  };
  view.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    view.dataset.dragged = "";
    if (fingers.size === 2) apart = span().size;
  });
  view.addEventListener("pointermove", (event) => {
    const from = fingers.get(event.pointerId);
    if (!from) return;
    const right = event.clientX - from.x;
    const down = event.clientY - from.y;
    if (fingers.size === 2) {
      fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
      const now = span();
      if (apart > 0) setZoom(view, (zoomOf(view) * now.size) / apart, now);
      apart = now.size;
    } else if (event.pointerType === "mouse" && zoomOf(view) > 1) {
      // One finger scrolls by itself.
      if (!view.dataset.dragged && Math.hypot(right, down) < 4) return;
      if (!view.dataset.dragged) view.setPointerCapture(event.pointerId);
      view.dataset.dragged = "yes";
      view.scrollBy({ left: -right, top: -down, behavior: "instant" });
      fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    }
  });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) {
    view.addEventListener(end, (event) => fingers.delete(event.pointerId));
  }
  view.addEventListener(
    "wheel",
    (event) => {
      if (!event.ctrlKey && !event.metaKey) return;
      event.preventDefault();
      const point = { x: event.clientX, y: event.clientY };
      setZoom(view, zoomOf(view) * Math.exp(-event.deltaY / 300), point);
    },
    { passive: false }
  );
}

function nameBalloons(room) {
  const svg = room.querySelector(".view svg");
  svg.setAttribute("role", "group");
  svg.setAttribute("aria-label", "Drawing, findings by number");
  for (const mark of all("[data-layer]:not([data-layer=findings])", svg)) {
    mark.setAttribute("aria-hidden", "true");
  }
  // Here signs do more than lead somewhere.
  for (const link of all("a", svg)) link.replaceWith(...link.childNodes);
  for (const [place, balloon] of all(".balloon", svg).entries()) {
    const title = balloon.querySelector("title");
    balloon.setAttribute("role", "button");
    balloon.setAttribute("tabindex", place ? "-1" : "0");
    balloon.setAttribute("aria-pressed", "false");
    balloon.setAttribute("aria-label", `Finding ${title ? title.textContent : ""}`);
  }
}

const roomTools = document.getElementById("room-tools");

readyTo.push((sheet) => {
  for (const room of all(".room", sheet)) {
    const view = room.querySelector(".view");
    const parts = roomTools.content.cloneNode(true);
    view.after(parts.querySelector(".lit"));
    view.before(parts);
    if (!view.querySelector("svg")) continue;
    nameBalloons(room);
    takeDrag(view);
    view.addEventListener("keydown", (event) => {
      if (event.target !== view || event.ctrlKey || event.metaKey || event.altKey) return;
      const act = KEYS[event.key];
      if (!act) return;
      event.preventDefault();
      act(view);
    });
    room.querySelector(".tools").addEventListener("click", (event) => {
      const how = event.target.dataset.zoom;
      if (how === "in") setZoom(view, zoomOf(view) * STEP);
      else if (how === "out") setZoom(view, zoomOf(view) / STEP);
      else if (how === "fit") setZoom(view, 1);
      else if (how === "place") zoomToPlace(room);
    });
    let width = 0;
    new ResizeObserver(() => {
      if (view.clientWidth === width) return;
      width = view.clientWidth;
      setZoom(view, zoomOf(view));
    }).observe(view);
    setZoom(view, 1);
  }
  const choice = sheet.querySelector(".room-choice");
  if (!choice) return;
  showRoom(sheet, "1");
  choice.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (button) showRoom(sheet, button.dataset.room);
  });
});

function showRoom(sheet, number) {
  for (const room of all(".room", sheet)) {
    room.classList.toggle("is-aside", room.dataset.room !== number);
  }
  for (const button of all(".room-choice button", sheet)) {
    button.setAttribute("aria-pressed", String(button.dataset.room === number));
  }
}
