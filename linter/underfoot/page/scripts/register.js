const findPlan = document.getElementById("find-plan");
const findVerdict = document.getElementById("find-verdict");

function siftPlans() {
  const wanted = findPlan.value.trim().toLowerCase();
  const verdict = findVerdict.value;
  const rows = all(".register tbody tr");
  let found = 0;
  for (const row of rows) {
    const isFound =
      row.querySelector("th").textContent.toLowerCase().includes(wanted) &&
      (!verdict || row.dataset.verdict === verdict);
    setOff(row, !isFound);
    const plan = document.getElementById(row.dataset.plan);
    if (plan) setOff(plan, !isFound);
    if (isFound) found += 1;
  }
  const said = found === rows.length ? "" : `${found} of ${rows.length} plans`;
  document.getElementById("found-plans").textContent = said;
}

if (findPlan) {
  findPlan.addEventListener("input", siftPlans);
  findVerdict.addEventListener("change", siftPlans);
}

function setAllOpen(open) {
  for (const sheet of all(".plan:not([data-off]) > .plan-sheet")) sheet.open = open;
}

for (const [id, open] of [["open-all", true], ["close-all", false]]) {
  const button = document.getElementById(id);
  if (button) button.addEventListener("click", () => setAllOpen(open));
}

for (const sheet of all(".plan-sheet[open]")) ready(sheet);
goToAddress();
