// The WebSocket to the unit: asks for the hello, hands out what arrives, comes back by itself.
"use strict";
const ampturn = (() => {
  const token = new URLSearchParams(location.search).get("token");
  const query = token ? "?token=" + encodeURIComponent(token) : "";
  const handlers = {};
  let socket = null;
  let waitMs = 300;

  function show(text, bad) {
    const tag = document.getElementById("link");
    if (!tag || tag.textContent === text) return;
    tag.textContent = text;
    tag.classList.toggle("bad", bad);
  }
  function connect() {
    socket = new WebSocket("ws://" + location.host + "/ws" + query);
    socket.onopen = () => {
      waitMs = 300;
      show("connected", false);
      for (const ask of handlers.ask || ["hello"]) send({ ask });
    };
    socket.onmessage = (message) => {
      const data = JSON.parse(message.data);
      if (handlers[data.kind]) handlers[data.kind](data);
    };
    socket.onclose = () => {
      show("connection lost, trying again", true);
      setTimeout(connect, waitMs);
      waitMs = Math.min(5000, waitMs * 1.7);
    };
  }
  function send(object) {
    if (socket && socket.readyState === WebSocket.OPEN) socket.send(JSON.stringify(object));
  }
  function keepToken() {
    for (const link of document.querySelectorAll("nav a")) link.href = link.getAttribute("href").split("?")[0] + query;
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
    };
    item.append(words[kind] ? words[kind]() : happening.name + " " + text);
    return item;
  }
  return {
    on(kind, handler) { handlers[kind] = handler; },
    start(ask) { handlers.ask = ask; keepToken(); connect(); },
    send, clock, make, logLine,
  };
})();
