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

function mendWords(mend, at, of) {
  const words = element("p");
  if (of > 1) words.append(element("strong", `Mend ${at + 1} of ${of}: `));
  words.append(mend.says);
  return words;
}

function mendLines(mend) {
  const details = element("details");
  details.append(element("summary", "What changes in the file"), element("pre", mend.lines));
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
      rooms.append(drawnRoom(before, `${room} before`), drawnRoom(after, `${room} after`));
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
    item.insertBefore(box, item.querySelector(".decide"));
  }
});
