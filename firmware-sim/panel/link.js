// The WebSocket to the unit: asks for the hello, hands out what arrives, comes back by itself, and knows when what is shown
// is no longer so. Handlers of "link" are told every change of {dead, age_s}; of "unsent" what could not be sent.
"use strict";
const ampturn = (() => {
  const token = new URLSearchParams(location.search).get("token");
  const query = token ? "?token=" + encodeURIComponent(token) : "";
  const handlers = {};
  const deadAfterMs = 1500;  // a picture comes every 100 ms
  const reopenAfterMs = 5000;
  let socket = null, waitMs = 300, heardAt = null, dead = true;
  let urgent = null;  // a stop that no answer has come to yet; an emergency stop takes its place

  const isOpen = () => socket !== null && socket.readyState === WebSocket.OPEN;
  const ageMs = () => heardAt === null ? null : performance.now() - heardAt;
  function tell(kind, data) { for (const handler of handlers[kind] || []) handler(data); }
  function show() {
    const tag = document.getElementById("link"), age = ageMs();
    const text = !dead ? "connected" : age === null ? "connecting" : "NO CONNECTION, picture " + Math.floor(age / 1000) + " s old";
    if (tag.textContent !== text) tag.textContent = text;
    tag.classList.toggle("bad", dead);
  }
  function watch() {
    const age = ageMs();
    const now = !isOpen() || age === null || age > deadAfterMs;
    const changed = now !== dead;
    dead = now;
    document.body.classList.toggle("dead", dead);
    if (changed || dead) tell("link", { dead, changed, age_s: age === null ? null : age / 1000 });
    show();
    if (isOpen() && age !== null && age > reopenAfterMs) socket.close();
  }
  function connect() {
    socket = new WebSocket("ws://" + location.host + "/ws" + query);
    socket.onopen = () => {
      waitMs = 300;
      if (urgent) socket.send(JSON.stringify(urgent));
      asks.forEach(ask);
    };
    socket.onmessage = (message) => {
      const data = JSON.parse(message.data);
      if (data.kind === "status") heardAt = performance.now();
      if (data.kind === "reply" && urgent) { urgent = null; tell("unsent", null); }
      tell(data.kind, data);
      if (data.kind === "restarted") asks.forEach(ask);
      if (dead) watch();
    };
    socket.onclose = () => {
      watch();
      setTimeout(connect, waitMs);
      waitMs = Math.min(2000, waitMs * 1.7);
    };
  }
  let asks = ["hello"];  // words of {ask}, or whole messages, sent when the connection comes up and when another drill begins
  // What a page wants to know or to be: goes out as soon as there is a connection, before the first picture too, and changes nothing.
  function ask(what) { if (isOpen()) socket.send(JSON.stringify(typeof what === "string" ? { ask: what } : what)); }
  // Stops are kept until the unit has answered and go out again when the connection is back; nothing else is kept.
  function send(object) {
    if (object.do === "stop" || object.do === "emergency_stop") {
      if (!urgent || object.do === "emergency_stop") urgent = object;
      if (isOpen()) socket.send(JSON.stringify(object));
      if (dead) tell("unsent", { text: (object.do === "stop" ? "STOP" : "EMERGENCY STOP") + " NOT SENT: goes out when the connection is back" });
    } else if (dead) {
      tell("unsent", { text: "Not sent: no connection to the unit" });
    } else {
      socket.send(JSON.stringify(object));
    }
  }
  function keepToken() {
    for (const link of document.querySelectorAll("nav a, a.keeps-token")) link.href = link.getAttribute("href").split("?")[0] + query;
  }
  function clock(seconds) {
    const s = Math.max(0, Math.floor(seconds));
    const two = (n) => String(n).padStart(2, "0");
    const rest = two(Math.floor(s / 60) % 60) + ":" + two(s % 60);
    return s >= 3600 ? Math.floor(s / 3600) + ":" + rest : rest;
  }
  function make(tag, text, className) {
    const element = document.createElement(tag);
    if (text !== undefined) element.textContent = text;
    if (className) element.className = className;
    return element;
  }
  // Said to a screen reader, and to nobody else; the page has one such place.
  function announce(text) {
    const place = document.getElementById("announce");
    if (place && text) place.append(make("p", text));
    while (place && place.children.length > 3) place.firstChild.remove();
  }
  function follow(id) {  // a list that stays at its end unless somebody has scrolled up
    const log = document.getElementById(id);
    const atEnd = log.scrollTop + log.clientHeight > log.scrollHeight - 30;
    return { log, done(most) { while (log.children.length > most) log.firstChild.remove(); if (atEnd) log.scrollTop = log.scrollHeight; } };
  }
  // How much of a drill's time is gone, and what is asked for.
  function drillClock(now) {
    if (!now.drill) return "";
    return clock(now.drill.end_s ?? now.time_s) + " of " + clock(now.drill.time_limit_s) + ", " + now.drill.pass_percent + " % to pass";
  }
  function table(heads, rows) {  // heads: [text, class]; cells are texts or elements
    const element = make("table"), top = make("thead"), head = make("tr"), body = make("tbody");
    for (const [text, className] of heads) { const th = make("th", text, className); th.scope = "col"; head.append(th); }
    for (const row of rows) {
      const line = make("tr");
      row.forEach((cell, i) => { const td = make("td", undefined, heads[i][1]); if (cell !== undefined) td.append(cell); line.append(td); });
      body.append(line);
    }
    top.append(head);
    element.append(top, body);
    return element;
  }
  // One line of the timeline in plain words. Faults are for the instructor only.
  function logLine(happening) {
    const colon = happening.name.indexOf(":");
    const kind = happening.name.slice(0, colon);
    const word = happening.name.slice(colon + 1).replaceAll("_", " ");
    const item = make("li", undefined, kind);
    item.append(make("time", clock(happening.time_s)));
    const who = happening.who ? " (" + happening.who + ")" : "";
    const text = happening.text;
    const words = {
      did: () => text && text !== "accepted" ? text + who : word + who,
      tried: () => "refused: " + word + ", " + text + who,
      found: () => "found " + word + ": " + text,
      danger: () => "DANGER: " + text,
      state: () => "unit is " + word,
      trip: () => "TRIP " + word + ": " + text,
      fault: () => "fault set: " + word + who + (text ? ", " + text : ""),
      cleared: () => "fault gone: " + word + who,
      table: () => text,
      say: () => text,
      remark: () => "instructor: " + text,
      radio: () => "radio, " + (word === "receiver" ? "receiver crew: " : "transmitter: ") + text,
    };
    item.append(words[kind] ? words[kind]() : happening.name + " " + text);
    return item;
  }
  return {
    on(kind, handler) { (handlers[kind] ||= []).push(handler); },
    start(wanted) {
      asks = wanted;
      keepToken();
      connect();
      setInterval(watch, 200);
      setInterval(() => { if (isOpen()) socket.send('{"alive":true}'); }, 10000);
    },
    send, ask, clock, make, table, logLine, announce, follow, drillClock, query,
  };
})();
