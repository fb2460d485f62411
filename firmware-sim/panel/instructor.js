// Live faults, pacing and remarks.
"use strict";
const byId = (id) => document.getElementById(id);

function addLog(happening) {
  const end = ampturn.follow("log");
  end.log.append(ampturn.logLine(happening));
  end.done(1000);
}
ampturn.on("hello", (intro) => {
  byId("title").textContent = intro.drill ? "Drill: " + intro.drill.title + (intro.trainee ? ", " + intro.trainee : "") : "Free practice with " + intro.transmitter.name;
  if (!intro.faults) {
    byId("reply").textContent = "This is a trainee's link. Open the instructor's, which carries the trainer's token.";
    return;
  }
  byId("faults").replaceChildren(...intro.faults.map((fault) => {
    const button = ampturn.make("button", fault.label);
    button.id = "fault-" + fault.name;
    button.setAttribute("aria-pressed", "false");
    button.append(ampturn.make("small", fault.effect));
    button.onclick = () => ampturn.send({ fault: fault.name, on: button.getAttribute("aria-pressed") !== "true" });
    return button;
  }));
  byId("log").replaceChildren();
  for (const happening of intro.timeline) addLog(happening);
});
ampturn.on("status", (now) => {
  byId("utc").textContent = now.utc.replace("T", " ").slice(0, 19) + " UTC";
  byId("state").textContent = now.text;
  const m = now.measured;
  byId("values").textContent = `battery ${m.battery_v.toFixed(2)} V, A ${m.current_a_a_peak.toFixed(2)} A, B ${m.current_b_a_peak.toFixed(2)} A, winding ${m.winding_c.toFixed(1)} °C, electronics ${m.electronics_c.toFixed(1)} °C`;
  byId("drill-clock").textContent = ampturn.drillClock(now);
  byId("crew").textContent = now.crew.seat ? "Receiver seat: " + now.crew.seat + (now.crew.recording ? ", recording" : ", not recording") : "Receiver seat: nobody";
  byId("to-course").hidden = !now.course;
  byId("speed").textContent = now.paused ? "paused" : "speed " + now.speed;
  for (const button of byId("faults").children) {
    if (!now.faults) break;
    const on = String(now.faults.includes(button.id.slice("fault-".length)));
    if (button.getAttribute("aria-pressed") !== on) button.setAttribute("aria-pressed", on);
  }
});
ampturn.on("link", (link) => { if (link.dead) { byId("state").textContent = "state unknown"; byId("values").textContent = ""; } });
ampturn.on("unsent", (what) => { if (what) byId("reply").textContent = what.text; });
ampturn.on("happening", addLog);
ampturn.on("reply", (reply) => { byId("reply").textContent = (reply.accepted ? "" : "Not done: ") + reply.text; });
byId("pace").addEventListener("click", (event) => {
  const button = event.target.closest("button[data-pace]");
  if (button) ampturn.send({ pace: button.dataset.pace });
});
byId("remark").addEventListener("submit", (event) => {
  event.preventDefault();
  const field = byId("remark-text");
  if (field.value.trim()) ampturn.send({ remark: field.value.trim() });
  field.value = "";
});
byId("finish").onclick = () => ampturn.send({ drill: "finish" });
ampturn.start(["hello"]);
