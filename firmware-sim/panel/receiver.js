// The second seat: recorder and radio of the receiver crew. The unit's state is not shown here.
"use strict";
const byId = (id) => document.getElementById(id);
const phrases = ["Recording; table and start read back", "Wait, we are not ready", "Nothing on our records", "The field lies along the other loop", "The field stands on its head", "Weak", "Clipped by the mains: we move"];
let status = null, mine = false, wanted = false, crewActions = new Set();

function setText(id, text) { const e = byId(id); if (e.textContent !== text) e.textContent = text; }
function say(words) { if (words) ampturn.send({ radio: words }); }

function heard(happening) {
  const [kind, word] = happening.name.split(":");
  if (kind === "radio" || kind === "say" || kind === "remark") return true;
  return ["did", "tried"].includes(kind) ? crewActions.has(word) : kind === "found" && word.startsWith("record_");
}
function addLog(happening) {
  if (!heard(happening)) return;
  const end = ampturn.follow("log"), line = ampturn.logLine(happening);
  end.log.append(line);
  end.done(400);
  if (status && happening.time_s > status.time_s - 5) ampturn.announce(line.lastChild.textContent);
}
ampturn.on("hello", (intro) => {
  const crew = intro.actions.filter((action) => action.seat === "receiver");
  crewActions = new Set(crew.map((action) => action.name));
  byId("work").replaceChildren(...crew.map((action) => {
    const button = ampturn.make("button", action.label, "act");
    button.dataset.do = action.name;
    button.title = action.duration_s + " s of virtual time";
    button.onclick = () => ampturn.send({ do: action.name });
    return button;
  }));
  const drill = intro.drill;
  byId("drill").replaceChildren(...(drill ? [ampturn.make("h3", drill.title), ...drill.story.map((text) => ampturn.make("p", text)), ...drill.cautions.map((text) => ampturn.make("p", text, "caution"))] :
    intro.transmitter.cautions.map((text) => ampturn.make("p", text, "caution"))));
  byId("log").replaceChildren();
  for (const happening of intro.timeline) addLog(happening);
  if (wanted) ampturn.ask({ seat: "take" });  // again, after another drill has begun or the connection was lost
});
ampturn.on("status", (now) => {
  status = now;
  setText("utc", now.utc.replace("T", " ").slice(0, 19) + " UTC");
  setText("drill-clock", ampturn.drillClock(now));
  setText("seat", mine ? (now.crew.recording ? "RECORDING" : "recorder stands") : now.crew.seat ? "taken by " + now.crew.seat : "free");
  setText("take", mine ? "Leave the seat" : "Take the seat");
  const work = now.crew.action_in_progress;
  byId("hands").className = work ? "hands busy" : "hands";
  setText("hands", work ? work.label + ": " + Math.ceil(work.left_s) + " s to go" : "Hands free.");
  for (const button of byId("work").children) button.disabled = !mine;
});
ampturn.on("reply", (reply) => {
  if (reply.text === "you are the receiver crew") mine = true;
  if (reply.text === "left") mine = false;
  setText("reply", reply.accepted ? "" : "Not done: " + reply.text);
});
ampturn.on("restarted", () => { mine = false; });
ampturn.on("link", (link) => { if (link.dead) { mine = false; setText("seat", "not known"); } });
ampturn.on("unsent", (what) => { if (what) setText("reply", what.text); });
ampturn.on("happening", addLog);
byId("take").onclick = () => { wanted = !mine; ampturn.send({ seat: mine ? "leave" : "take" }); };
byId("shout").onclick = () => say("STOP STOP STOP");
byId("phrases").replaceChildren(...phrases.map((words) => {
  const button = ampturn.make("button", words);
  button.onclick = () => say(words);
  return button;
}));
byId("radio").addEventListener("submit", (event) => {
  event.preventDefault();
  say(byId("radio-text").value.trim());
  byId("radio-text").value = "";
});
ampturn.start(["hello"]);
