// The list of drills with a start for each, the class sheet, and for the trainer a form that makes a drill from parts.
"use strict";
const byId = (id) => document.getElementById(id);
const { make, table } = ampturn;
let csv = "", shown = false;

function startButton(drill) {
  const button = make("button", "Start", "act noprint");
  button.setAttribute("aria-label", "Start " + drill.title);
  button.onclick = () => ampturn.send({ course: "start", drill: drill.id, trainee: byId("trainee").value.trim() });
  return button;
}
const mark = (attempt) => attempt.percent.toFixed(0) + " %, " + (attempt.passed ? "passed" : "not passed");

ampturn.on("course", (course) => {
  if (!shown) byId("trainee").value = course.trainee;
  byId("drills").replaceChildren(table([["Begin"], ["Level", "num"], ["Drill"], ["Limit", "num"], ["To pass", "num"], ["Best of " + (course.trainee || "nobody named")]],
    course.drills.map((one) => [course.role === "watcher" ? "" : startButton(one), String(one.level), one.title + (one.id === course.running ? " (running)" : ""), ampturn.clock(one.time_limit_s), one.pass_percent + " %",
      one.best ? mark(one.best) + ", " + one.best.attempts + " taken" : ""])));
  byId("sheet").replaceChildren(course.attempts.length ? table([["Began, UTC"], ["Trainee"], ["Drill"], ["Level", "num"], ["Time no.", "num"], ["Took", "num"], ["Points", "num"], ["Result"], ["Ended by"]],
    course.attempts.map((one) => [one.utc.replace("T", " ").replace("Z", ""), one.trainee || "(no name)", one.title, String(one.level), String(one.attempt), ampturn.clock(one.time_s),
      one.points + " of " + one.points_max, mark(one), one.ended_by])) : make("p", "Nothing yet."));
  csv = course.csv || "";
  byId("save").hidden = !csv;
  byId("maker").hidden = !course.parts;
  if (course.parts && !shown) byId("p-troubles").replaceChildren(...course.parts.map((fault) => {
    const line = make("div"), choice = make("select"), label = make("label", fault.label);
    choice.id = "t-" + fault.name;
    label.htmlFor = choice.id;
    for (const [value, words] of [["", "no"], ["start", "from the beginning"], ["5", "5 s"], ["10", "10 s"], ["20", "20 s"], ["40", "40 s"]]) {
      const option = make("option", words);
      option.value = value;
      choice.append(option);
    }
    line.append(choice, label);
    return line;
  }));
  shown = true;
});
function ask() { ampturn.send({ course: "list" }); }
let over = null, running = null;
ampturn.on("status", (now) => {
  byId("clock").textContent = now.drill ? "running: " + ampturn.drillClock(now) : "no drill runs";
  const nowOver = now.drill ? now.drill.over : null, nowRunning = now.course ? now.course.running : null;
  if ((nowOver !== over || nowRunning !== running) && shown) ask();
  over = nowOver;
  running = nowRunning;
});
let started = false;
ampturn.on("reply", (reply) => {
  byId("reply").textContent = reply.accepted ? "" : "Not done: " + reply.text;
  byId("made").textContent = "";
  if (!reply.accepted && !byId("maker").hidden && document.activeElement.closest("#make")) byId("made").textContent = "Not made: " + reply.text;
  started = reply.accepted;
});
ampturn.on("restarted", () => { if (started) location.href = "/" + ampturn.query; });
ampturn.on("made", (made) => {
  byId("made").textContent = "Made: " + made.file;
  byId("toml").textContent = made.toml;
  byId("toml").hidden = false;
  ask();
});
ampturn.on("unsent", (what) => { if (what) byId("reply").textContent = what.text; });
byId("print").onclick = () => window.print();
byId("save").onclick = () => {
  const link = make("a");
  link.href = URL.createObjectURL(new Blob([csv], { type: "text/csv" }));
  link.download = "class.csv";
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
};
byId("p-title").addEventListener("input", () => { byId("p-id").value = byId("p-title").value.toLowerCase().replace(/[^a-z0-9]+/g, "_").replace(/^_|_$/g, ""); });
byId("make").addEventListener("submit", (event) => {
  event.preventDefault();
  const troubles = [...byId("p-troubles").querySelectorAll("select")].filter((choice) => choice.value).map((choice) =>
    choice.value === "start" ? { fault: choice.id.slice(2) } : { fault: choice.id.slice(2), after_sending_s: Number(choice.value) });
  ampturn.send({ course: "make", parts: { id: byId("p-id").value, title: byId("p-title").value, level: Number(byId("p-level").value), story: byId("p-story").value,
    connected: byId("p-connected").checked, air_c: Number(byId("p-air").value), battery_state_of_charge: Number(byId("p-charge").value) / 100,
    time_limit_s: 60 * Number(byId("p-limit").value), pass_percent: Number(byId("p-pass").value), troubles } });
});
ampturn.start([{ course: "list" }]);
