// A review is written line by line, every value on a line of its own, as the command writes it.
// So what is decided here is put into its lines, and all else in the file stays as it is.
const PLAIN = /^[A-Za-z][A-Za-z0-9_./()-]*(?: [A-Za-z0-9_./()-]+)*$/;
const NOT_TEXT = new Set(["true", "false", "null", "yes", "no", "on", "off", "y", "n"]);
const ESCAPES = { '"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r" };

function escaped(mark) {
  if (ESCAPES[mark]) return ESCAPES[mark];
  if (mark === " " || !/[\p{C}\p{Z}]/u.test(mark)) return mark;
  const code = mark.codePointAt(0);
  const [letter, digits] = code < 0x100 ? ["x", 2] : code < 0x10000 ? ["u", 4] : ["U", 8];
  return `\\${letter}${code.toString(16).padStart(digits, "0")}`;
}

const quoted = (text) => `"${Array.from(text, escaped).join("")}"`;
const written = (text) =>
  PLAIN.test(text) && !NOT_TEXT.has(text.toLowerCase()) ? text : quoted(text);

function decisionLines(wish) {
  if (wish.decision === "open") return [];
  const reason = wish.reason ? [`reason: ${written(wish.reason)}`] : [];
  return [
    `decision: ${wish.decision}`, ...reason, `by: ${written(wish.by)}`, `date: "${wish.date}"`,
  ];
}

const indent = (lines, blank) => lines.map((line) => blank + line);

// The lines below the one at `at`, as far as they are set in by `blank`.
function below(lines, at, blank) {
  let end = at + 1;
  while (end < lines.length && lines[end].startsWith(blank)) end += 1;
  return end;
}

function decideFinding(lines, number, wish) {
  let at = lines.indexOf("findings:");
  for (let passed = 0; passed < number; passed += 1) {
    at = lines.findIndex((line, place) => place > at && line.startsWith("  - rule:"));
  }
  const end = below(lines, at, "    ");
  const kept = lines
    .slice(at + 1, end)
    .filter((line) => !/^    (decision|reason|by|date): /.test(line));
  let place = 0;
  kept.forEach((line, each) => {
    if (/^    (room|items|severity|measured|says): /.test(line)) place = each + 1;
  });
  kept.splice(place, 0, ...indent(decisionLines(wish), "    "));
  lines.splice(at + 1, end - at - 1, ...kept);
}

function retireOverall(lines, day) {
  const at = lines.indexOf("overall:");
  const end = below(lines, at, "  ");
  let start = at;
  while (lines[start - 1].startsWith("#")) start -= 1;
  const body = lines.slice(at + 1, end).map((line) => line.slice(2));
  const before = body.findIndex((line) => line.startsWith("note:"));
  body.splice(before < 0 ? body.length : before, 0, `because: decided anew on ${day}`);
  const first = body.findIndex((line) => !line.startsWith("#"));
  const remarks = [...lines.slice(start, at), ...body.slice(0, first)];
  const past = [
    ...indent(remarks, "  "), `  - ${body[first]}`, ...indent(body.slice(first + 1), "    "),
  ];
  lines.splice(start, end - start);
  return past;
}

function addPast(lines, past) {
  const head = lines.indexOf("past_overall:");
  // A remark at the very end stays there.
  let end = lines.length - 1;
  while (lines[end - 1].startsWith("#")) end -= 1;
  if (head < 0) lines.splice(end, 0, "", "past_overall:", ...past);
  else lines.splice(below(lines, head, "  "), 0, ...past);
}

function decideOverall(lines, wish) {
  const now = indent(decisionLines(wish), "  ");
  const at = lines.indexOf("overall:");
  if (at >= 0) {
    const was = lines.slice(at + 1, below(lines, at, "  "));
    if (was.filter((line) => !/^  (#|note:)/.test(line)).join("\n") === now.join("\n")) return;
    const past = retireOverall(lines, wish.date);
    let start = lines.indexOf("reviewed:");
    start = below(lines, start, "  ");
    lines.splice(start + 1, 0, "overall:", ...now);
    addPast(lines, past);
  } else {
    lines.splice(below(lines, lines.indexOf("reviewed:"), "  "), 0, "", "overall:", ...now);
  }
}

// `wishes` by the number of the finding; what stands under 0 is about the whole plan.
function writeReview(text, wishes) {
  const lines = text.split("\n");
  for (const [number, wish] of wishes) {
    if (number) decideFinding(lines, number, wish);
    else decideOverall(lines, wish);
  }
  return lines.join("\n");
}
