// What happened, what was done, points with reasons, and the right order of steps.
"use strict";
const { make, table } = ampturn;

function section(title, ...content) {
  const box = make("section");
  box.append(make("h2", title), ...content);
  return box;
}
function list(texts) {
  const element = make("ol", undefined, "steps");
  for (const text of texts) element.append(make("li", text));
  return element;
}
ampturn.on("debrief", (d) => {
  const parts = [];
  const head = section(d.title, make("p", (d.trainee ? d.trainee + ", " : "") + d.transmitter + ", " + d.utc.replace("T", " ").slice(0, 19) + " UTC"));
  for (const paragraph of d.story || []) head.append(make("p", paragraph));
  parts.push(head);
  if (d.rules) {
    const verdict = make("p", undefined, "verdict");
    verdict.id = "verdict";
    verdict.textContent = (d.over ? (d.passed ? "Passed" : "Not passed") : "So far") + `: ${d.points} of ${d.points_max} points (${d.percent.toFixed(0)} %, ${d.pass_percent} % wanted)`;
    const ended = make("p", d.over ? `Ended after ${ampturn.clock(d.end_s)}: ${d.ended_by}.` : "The drill is still running.");
    const why = make("div");
    if (d.goal) why.append(make("p", d.goal));
    for (const must of d.missed_musts) why.append(make("p", "A must was missed. " + must, "lost"));
    if (d.dangers.length) why.append(make("p", `Dangers cost ${d.danger_points} points: ${d.dangers.join("; ")}.`, "lost"));
    if (d.needless.length) why.append(make("p", `Needless work cost ${d.needless_points} points: ${d.needless.join("; ")}.`));
    parts.push(section("Result", verdict, ended, why, table(
      [["Points", "num"], ["Rule"], ["What was seen"], ["Why it matters"]],
      d.rules.map((r) => [r.tested ? `${r.points} / ${r.points_max}` : "not tested", r.id.replaceAll("_", " ") + (r.critical ? " (must)" : ""), r.verdict, r.reason]))));
    parts.push(section("What a good operator does", table([["Step"], ["Why"], ["Done", "num"]],
      d.good.map((g) => [g.text, g.why, g.done_s === undefined ? "" : g.done_s === null ? "no" : ampturn.clock(g.done_s)]))));
    for (const r of d.recoveries) parts.push(section("Right order: " + r.fault, list(r.steps)));
  }
  const log = make("ol", undefined, "log");
  log.style.height = "auto";
  for (const happening of d.timeline) log.append(ampturn.logLine(happening));
  parts.push(section("Timeline", log));
  const cautions = make("ul", undefined, "cautions");
  cautions.style.padding = "0";
  for (const caution of d.cautions || []) cautions.append(make("li", caution));
  cautions.append(make("li", "A simulator teaches the order of steps. Real loops, batteries and masts are worked on under local rules and by licensed practice."));
  parts.push(section("Cautions", cautions));
  document.getElementById("page").replaceChildren(...parts);
});
ampturn.on("reply", (reply) => {
  if (!reply.accepted) document.getElementById("page").replaceChildren(section("Debrief", make("p", reply.text + ".")));
});
document.getElementById("print").onclick = () => window.print();
ampturn.start(["debrief"]);
