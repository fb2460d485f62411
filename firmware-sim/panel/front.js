// The unit's front and the work around it.
"use strict";
const byId = (id) => document.getElementById(id);
const columns = [
  { "Battery": ["measure_battery", "swap_leads", "swap_battery", "warm_battery"], "Receiver crew": ["call_receiver", "change_radio", "ask_crew_to_move"] },
  { "Loops": ["measure_loop_a", "measure_loop_b", "dry_connectors", "remake_connectors", "replace_loop_a", "replace_loop_b"] },
  { "Plugs and capacitors": ["check_plugs", "set_plugs_right", "measure_capacitor", "replace_capacitor"],
    "Table and clock": ["read_back_table", "load_table", "check_clock", "wait_for_lock"] },
  { "Around the unit": ["check_area", "send_people_away", "look_at_masts", "raise_mast", "clear_vents", "take_shelter", "leave_shelter"] },
];
const patternWords = {
  off: "off", double_blink: "double blink", short_blink: "short blink", steady: "steady", fast: "fast flashing", slow: "slow flashing", triple_blink: "triple blink",
};
let status = null;
let handsUntil = 0;
let crewActions = new Set();  // what the receiver crew does, far away

function act(name) { ampturn.send({ do: name }); }

// ---- lamp: lit from the pattern's own timing. About 72 px across: far below the area for which WCAG 2.3.1 limits flashing.
const still = window.matchMedia("(prefers-reduced-motion: reduce)");
function blink() {
  if (!status) return;
  const lamp = status.lamp;
  let lit = lamp.blinks > 0;
  if (lit && lamp.off_ms + lamp.pause_ms > 0 && !still.matches) {
    const period = lamp.blinks * (lamp.on_ms + lamp.off_ms) + lamp.pause_ms;
    const at = performance.now() % period;
    lit = at < lamp.blinks * (lamp.on_ms + lamp.off_ms) && at % (lamp.on_ms + lamp.off_ms) < lamp.on_ms;
  }
  const box = byId("lamp");
  const value = lit ? "1" : "0";
  if (box.dataset.lit !== value) box.dataset.lit = value;
}
setInterval(blink, 30);

// What the hands met, for so long before the line goes back to what they do.
function showHands(kind, text, ms) {
  handsUntil = performance.now() + ms;
  byId("hands").className = "hands " + kind;
  setText("hands", text);
  ampturn.announce(text);
}

function setText(id, text) { const e = byId(id); if (e.textContent !== text) e.textContent = text; }

function showPlug(id, on, whenOff, whenOn) {
  const plug = byId(id);
  if (plug.getAttribute("aria-pressed") === String(on) && plug.dataset.do) return;
  plug.setAttribute("aria-pressed", String(on));
  plug.querySelector(".is").textContent = on ? "connected" : "off";
  plug.dataset.do = on ? whenOn : whenOff;
}

function showTrips(list) {
  const box = byId("trips");
  const key = JSON.stringify(list);
  if (box.dataset.key === key) return;
  box.dataset.key = key;
  box.replaceChildren(...list.map((trip) =>
    ampturn.make("p", trip.cause.replaceAll("_", " ") + (trip.active ? " (still there): " : " (gone): ") + trip.advice)));
}

function announceState(now) {
  if (status && status.state === now.state) return;
  ampturn.announce("Unit: " + now.text.replaceAll("_", " ") + (now.starts_in_s !== undefined ? ", starts in " + Math.ceil(now.starts_in_s) + " seconds" : ""));
}

function show(now) {
  announceState(now);
  status = now;
  setText("utc", now.utc.replace("T", " ").slice(0, 19) + " UTC");
  setText("pace", now.paused ? "paused" : "speed " + now.speed);
  byId("pace").classList.toggle("bad", now.paused);
  const line = now.starts_in_s !== undefined ? now.text + ": starts in " + Math.ceil(now.starts_in_s) + " s" : now.text;
  setText("textline", line);
  byId("lamp").dataset.colour = now.lamp.colour;
  setText("lamp-words", now.lamp.colour === "dark" ? "lamp dark" : now.lamp.colour + ", " + patternWords[now.lamp.pattern]);
  setText("sounder-words", "sounder " + now.sounder.word.replaceAll("_", " "));
  sounder.follow(now.sounder, now.sounder_since_s);
  showTrips(now.trips);

  const armed = ["armed", "warning", "sending", "stopping"].includes(now.state);
  const key = byId("key");
  key.setAttribute("aria-pressed", String(armed));
  key.dataset.do = armed ? "key_disarm" : "key_arm";
  setText("key-words", armed ? "ARM: turn to SAFE" : "SAFE: turn to ARM");

  showPlug("plug-positive", now.positive, "connect_battery_positive", "disconnect_battery_positive");
  showPlug("plug-negative", now.negative, "connect_battery_negative", "disconnect_battery_negative");
  showPlug("plug-a", now.loop_a, "connect_loop_a", "disconnect_loop_a");
  showPlug("plug-b", now.loop_b, "connect_loop_b", "disconnect_loop_b");

  setText("drill-clock", ampturn.drillClock(now));
  byId("finish").hidden = !now.drill || now.drill.over;
  byId("to-course").hidden = !now.course;
  offerCourse(now.course);
  byId("radio").hidden = !now.crew.seat;
  const hands = byId("hands");
  if (now.action_in_progress) {
    hands.className = "hands busy";
    setText("hands", now.action_in_progress.label + ": " + Math.ceil(now.action_in_progress.left_s) + " s to go");
  } else if (performance.now() > handsUntil) {
    hands.className = "hands";
    setText("hands", now.thunder ? "Thunder: flash to bang 20 s." : now.sheltered ? "You are in the shelter." : "Hands free.");
  }

  const m = now.measured;
  setText("r-a", m.current_a_a_peak.toFixed(2) + " A pk");
  setText("r-b", m.current_b_a_peak.toFixed(2) + " A pk");
  setText("r-v", m.battery_v.toFixed(2) + " V");
  setText("r-bus", m.bus_v.toFixed(2) + " V");
  setText("r-w", m.winding_c.toFixed(1) + " °C");
  setText("r-e", m.electronics_c.toFixed(1) + " °C");
  const p = now.progress;
  setText("step-words", p.step_number ? p.step_number + " of " + p.step_count + ", " + p.phase.replaceAll("_", " ") : "none running");
  charts.add(now);
}

function addLog(happening) {
  const kind = happening.name.split(":")[0];
  // What a meter or a look shows appears where the hand is.
  if (kind === "found" && status && happening.time_s > status.time_s - 5 && !(happening.who && happening.who === status.crew.seat)) {
    showHands("found", happening.name.split(":")[1].replaceAll("_", " ") + ": " + happening.text, 8000);
  }
  if (kind === "fault" || kind === "cleared") return;  // the trainee finds out by looking
  if (crewActions.has(happening.name.split(":")[1]) || (happening.who && status && happening.who === status.crew.seat && kind === "found")) return;  // far away
  const end = ampturn.follow("log"), line = ampturn.logLine(happening);
  end.log.append(line);
  end.done(400);
  if (["say", "radio", "remark", "danger"].includes(kind) && status && happening.time_s > status.time_s - 5) ampturn.announce(line.lastChild.textContent);
}

function showDrill(intro) {
  const box = byId("drill");
  box.replaceChildren();
  const drill = intro.drill;
  if (drill) {
    byId("h-story").textContent = "Drill";
    box.append(ampturn.make("h3", drill.title + (intro.trainee ? " (" + intro.trainee + ")" : "")));
    for (const paragraph of drill.story) box.append(ampturn.make("p", paragraph));
    for (const caution of drill.cautions) box.append(ampturn.make("p", caution, "caution"));
  } else {
    byId("h-story").textContent = "Practice";
    box.append(ampturn.make("p", "Free practice with " + intro.transmitter.name + ". Table " + intro.transmitter.table_name + ", " + intro.transmitter.step_count + " steps, checksum " + intro.transmitter.table_crc32 + "."));
    for (const caution of intro.transmitter.cautions) box.append(ampturn.make("p", caution, "caution"));
  }
}

function makeWork(intro) {
  const labels = Object.fromEntries(intro.actions.map((action) => [action.name, action]));
  byId("work").replaceChildren(...columns.map((groups) => {
    const column = ampturn.make("div", undefined, "column");
    for (const [name, actions] of Object.entries(groups)) {
      const set = ampturn.make("fieldset");
      set.append(ampturn.make("legend", name));
      for (const action of actions) {
        const button = ampturn.make("button", labels[action].label);
        button.dataset.do = action;
        button.title = labels[action].duration_s + " s of virtual time";
        const key = ampturn.make("kbd", keys.of[action]);
        key.setAttribute("aria-hidden", "true");
        button.append(key);
        keys.tie(action, button);
        set.append(button);
      }
      keys.rove(set);
      column.append(set);
    }
    return column;
  }));
}
for (const id of ["key", "go", "plug-positive", "plug-negative", "plug-a", "plug-b"]) keys.tie(id, byId(id));
keys.tie("acknowledge", document.querySelector(".ack"));
keys.rove(document.querySelector(".plugs"));

ampturn.on("hello", (intro) => {
  crewActions = new Set(intro.actions.filter((action) => action.seat === "receiver").map((action) => action.name));
  makeWork(intro);
  showDrill(intro);
  byId("to-instructor").hidden = intro.role !== "trainer";
  byId("keepout").textContent = intro.transmitter.keep_out_m.toFixed(1) + " m";
  byId("log").replaceChildren();
  for (const happening of intro.timeline) addLog(happening);
  byId("log").scrollTop = byId("log").scrollHeight;
  if (intro.drill && intro.drill.over) ampturn.ask("debrief");  // a page that comes late shows how it ended, too
});
ampturn.on("status", show);
ampturn.on("happening", addLog);
ampturn.on("reply", (reply) => {
  if (!reply.accepted) showHands("no", "Not done: " + reply.text, 4000);
});
ampturn.on("debrief", (debrief) => {
  if (!debrief.over || byId("result")) return;
  const box = byId("drill");
  const note = ampturn.make("p", undefined, "verdict");
  note.id = "result";
  note.append((debrief.passed ? "Passed: " : "Not passed: ") + debrief.points + " of " + debrief.points_max + " points. ");
  const link = ampturn.make("a", "Read the debrief");
  link.href = byId("to-debrief").href;
  note.append(link);
  const more = ampturn.make("p", undefined, "row");
  more.id = "and-now";
  box.prepend(note, more);
  if (status) offerCourse(status.course);
  ampturn.announce(note.textContent);
});
// Below a result: what a course goes on with. Result and picture come in any order.
function offerCourse(course) {
  const row = byId("and-now");
  if (!row || row.firstChild || !course?.running) return;
  for (const [what, words] of [["again", "Again"], ["next", course.next && "Next: " + course.next]]) {
    if (!words) continue;
    const button = ampturn.make("button", words, "act");
    button.id = what;
    button.onclick = () => ampturn.send({ course: what });
    row.append(button);
  }
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-do]");
  if (button) act(button.dataset.do);
});
// A picture that is no longer so must not look as if it were: lamp unlit, state unknown.
ampturn.on("link", (link) => {
  if (!link.dead) { if (link.changed) sounder.alarm(false); return; }
  status = null;
  byId("lamp").dataset.colour = "dark";
  byId("lamp").dataset.lit = "0";
  setText("lamp-words", "not known");
  setText("sounder-words", "sounder not known");
  setText("textline", link.age_s === null ? "state unknown" : "state unknown: last picture " + Math.floor(link.age_s) + " s ago");
  if (link.changed) sounder.alarm(true);
});
ampturn.on("unsent", (what) => {
  if (what) showHands("no", what.text, 4000);
});
byId("finish").onclick = () => ampturn.send({ drill: "finish" });
byId("radio").addEventListener("submit", (event) => {
  event.preventDefault();
  const words = byId("radio-text").value.trim();
  if (words) ampturn.send({ radio: words });
  byId("radio-text").value = "";
});
byId("hear").addEventListener("change", (event) => sounder.enable(event.target.checked));
charts.start();
ampturn.start(["hello"]);
