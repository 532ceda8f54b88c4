function ringChanged(mark) {
  const svg = mark.closest("svg");
  const before = new Set(all(".ring", svg));
  ring(mark);
  for (const each of all(".ring", svg)) {
    if (!before.has(each)) each.setAttribute("class", "changed-ring");
  }
}

// A mend was tried before it is offered, and is looked at before it is written.
function drawnRoom(svg, words) {
  const figure = element("figure");
  const sheet = element("div", "", "sheet");
  sheet.innerHTML = svg;
  sheet.setAttribute("role", "img");
  sheet.setAttribute("aria-label", words);
  figure.append(element("figcaption", words, "quiet"), sheet);
  return figure;
}

// Ids begin otherwise in either drawing, and mean the same.
const withoutIds = (mark) => mark.outerHTML.replaceAll(/m\d+-\d+[ab]-/g, "");

function lightMended(before, after) {
  const was = new Map();
  for (const mark of all("[data-item]", before)) {
    const name = mark.getAttribute("data-item");
    was.set(name, (was.get(name) || "") + withoutIds(mark));
  }
  const marks = all("[data-item]", after);
  for (const mark of marks) {
    const name = mark.getAttribute("data-item");
    const same = marks.filter((each) => each.getAttribute("data-item") === name);
    if (was.get(name) !== same.map(withoutIds).join("")) ringChanged(mark);
  }
}

function mendWords(mend, at, of) {
  const words = element("p");
  if (of > 1) words.append(element("strong", `Mend ${at + 1} of ${of}: `));
  words.append(mend.says);
  return words;
}

function mendLines(mend) {
  const details = element("details");
  const words = element("pre");
  // The file's name and the first place are for programs that put such changes in.
  for (const line of mend.lines.split("\n").slice(3)) {
    const name = { "-": "del", "+": "ins" }[line[0]];
    words.append(name ? element(name, line) : `${line.startsWith("@@ ") ? "…" : line}\n`);
  }
  details.append(element("summary", "What changes in the file"), words);
  return details;
}

function showMends(plan, item, panel, mends) {
  const state = stateOf(plan);
  const finding = Number(item.dataset.number);
  const said = element("p", "", "said");
  said.setAttribute("role", "status");
  for (const [at, mend] of mends.entries()) {
    const part = element("section", "", "mend");
    const rooms = element("div", "", "mend-rooms");
    for (const { room, before, after } of mend.rooms) {
      const twice = [drawnRoom(before, `${room} before`), drawnRoom(after, `${room} after`)];
      rooms.append(...twice);
      lightMended(...twice);
    }
    const button = element("button", "Write it into the plan");
    button.type = "button";
    button.addEventListener("click", async () => {
      button.disabled = true;
      const { refusal } = await send("mend", { state, finding, mend: at });
      button.disabled = false;
      said.textContent = refusal || "";
    });
    const verdict =
      "Tried: this finding is gone, and nothing else is new or worse. The check then says " +
      `“${mend.verdict}”.`;
    part.append(
      mendWords(mend, at, mends.length), rooms, mendLines(mend), element("p", verdict, "quiet"),
      button
    );
    panel.append(part);
  }
  panel.append(said);
}

async function lookForMends(plan, item, panel) {
  panel.replaceChildren(element("p", "Trying what might help …", "quiet"));
  const { refusal, answer } = await send("look", {
    state: stateOf(plan), finding: Number(item.dataset.number),
  });
  const mends = refusal ? [] : await answer.json();
  panel.replaceChildren();
  if (refusal) panel.append(element("p", refusal, "said"));
  else if (mends.length) showMends(plan, item, panel, mends);
  else {
    const none = "No change that was tried clears this without harm elsewhere: see “To do”.";
    panel.append(element("p", none, "quiet"));
  }
}

readyTo.push((sheet) => {
  const plan = planOf(sheet);
  if (!reviewOf(plan)) return;
  for (const item of all('.finding:not([data-kind="waived"])', sheet)) {
    const box = element("div", "", "mending");
    const button = element("button", "Look for a mend");
    const panel = element("div", "", "mends");
    button.type = "button";
    button.setAttribute("aria-expanded", "false");
    button.addEventListener("click", () => {
      const opens = button.getAttribute("aria-expanded") === "false";
      button.setAttribute("aria-expanded", String(opens));
      if (opens) lookForMends(plan, item, panel);
      else panel.replaceChildren();
    });
    box.addEventListener("click", (event) => event.stopPropagation());
    box.append(button, panel);
    item.querySelector(".decide").before(box);
  }
});
