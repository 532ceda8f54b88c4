// On paper nothing can be opened: what is open of the plans is printed whole, with its tables.
let opened = [];

window.addEventListener("beforeprint", () => {
  for (const sheet of all(".plan-sheet[open]")) {
    ready(sheet);
    for (const details of all("details.on-paper:not([open])", sheet)) {
      details.open = true;
      opened.push(details);
    }
    unfold(sheet);
  }
});

window.addEventListener("afterprint", () => {
  for (const details of opened) details.open = false;
  opened = [];
  for (const plan of all(".plan.is-printed")) plan.classList.remove("is-printed");
  document.documentElement.classList.remove("prints-one");
});

document.getElementById("print-page").addEventListener("click", () => window.print());

for (const button of all("[data-print]")) {
  button.addEventListener("click", () => {
    document.getElementById(button.dataset.print).classList.add("is-printed");
    document.documentElement.classList.add("prints-one");
    window.print();
  });
}
