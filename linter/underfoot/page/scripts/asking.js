// At the desk what is decided is written at once, into the review beside the plan.
async function send(where, asked) {
  let answer;
  try {
    answer = await fetch(where, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(asked),
    });
  } catch {
    return { refusal: "The desk does not answer: nothing was written." };
  }
  return answer.ok ? { answer } : { refusal: await answer.text() };
}

const placeOfPlan = (plan) => Number(plan.id.slice("plan-".length));

// What this page shows: only if it is still so is anything written.
const stateOf = (plan) => ({
  edition: Number(main.dataset.edition),
  plan: placeOfPlan(plan),
  plan_hash: plan.dataset.planHash,
  review_hash: plan.dataset.reviewHash,
});

async function keepDecision(plan, item, wish) {
  const finding = item ? Number(item.dataset.number) : null;
  const { refusal } = await send("decide", { state: stateOf(plan), finding, ...wish });
  return refusal || "";
}

function afterDeciding() {}
