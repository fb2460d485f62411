// Stop and emergency stop, at the foot of every page that can act: they never move, whatever else is shown. Escape stops in an
// emergency and F8 stops from anywhere, also while writing; S stops where single keys are allowed (WCAG 2.1.4).
// Releasing is another gesture than pressing: a button of its own, twice, within five seconds.
"use strict";
(() => {
  const bar = ampturn.make("div", undefined, "stopbar");
  bar.setAttribute("role", "group");
  bar.setAttribute("aria-label", "Stopping");
  bar.innerHTML = `
    <button class="stop" id="stop" aria-keyshortcuts="F8 S"><b>STOP</b><span>F8 or S</span></button>
    <div class="emergency"><button id="estop" aria-pressed="false" aria-keyshortcuts="Escape"><b>EMERGENCY STOP</b><span id="estop-words">Esc</span></button></div>
    <button id="release" hidden>Release&hellip;</button>
    <p id="unsent" role="alert"></p>`;
  document.body.append(bar);
  const byId = (id) => document.getElementById(id);
  const letters = byId("letters");
  let asked = 0;

  function remember(on) { try { localStorage.setItem("letters", on ? "on" : "off"); } catch { /* not kept */ } }
  function remembered() { try { return localStorage.getItem("letters") !== "off"; } catch { return true; } }
  function lettersOn() { return letters ? letters.checked : remembered(); }
  if (letters) {
    letters.checked = remembered();
    letters.addEventListener("change", () => remember(letters.checked));
  }
  function act(name) { ampturn.send({ do: name }); }
  function askRelease(on) {
    asked = on ? performance.now() : 0;
    byId("release").textContent = on ? "Twist: release now" : "Release\u2026";
    byId("release").classList.toggle("armed", on);
  }
  byId("stop").onclick = () => act("stop");
  byId("estop").onclick = () => act("emergency_stop");
  byId("release").onclick = () => {
    if (asked && performance.now() - asked > 300) { askRelease(false); act("release_emergency_stop"); }
    else if (!asked) { askRelease(true); setTimeout(() => askRelease(false), 5000); }
  };
  ampturn.on("status", (now) => {
    const latched = now.emergency_latched;
    if (byId("estop").getAttribute("aria-pressed") !== String(latched)) {
      byId("estop").setAttribute("aria-pressed", String(latched));
      byId("estop-words").textContent = latched ? "latched" : "Esc";
      byId("release").hidden = !latched;
      askRelease(false);
    }
  });
  // The session runs on without a log: whoever acts is to know.
  const logLost = ampturn.make("p", undefined, "tag bad");
  logLost.id = "log-lost";
  logLost.setAttribute("role", "status");
  logLost.hidden = true;
  document.querySelector(".bar").append(logLost);
  ampturn.on("status", (now) => {
    logLost.hidden = !now.log_lost;
    if (now.log_lost && logLost.textContent !== now.log_lost) logLost.textContent = now.log_lost;
  });
  ampturn.on("unsent", (what) => { byId("unsent").textContent = what ? what.text : ""; });
  ampturn.on("link", (link) => { if (link.changed && !link.dead && !byId("unsent").textContent.includes("STOP")) byId("unsent").textContent = ""; });
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.repeat) return;
    if (event.key === "Escape") { event.preventDefault(); act("emergency_stop"); return; }
    if (event.key === "F8") { event.preventDefault(); act("stop"); return; }
    if (!lettersOn() || event.target.matches("input[type=text], textarea, select")) return;
    if (event.key.toLowerCase() === "s") act("stop");
  });
})();
