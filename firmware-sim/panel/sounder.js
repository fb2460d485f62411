// Plays the sounder's pattern when the trainee wants to hear it. Off until asked for: browsers want a gesture first.
"use strict";
const sounder = (() => {
  let audio = null;
  let timer = null;
  let playing = "";

  function beep(ms) {
    const tone = audio.createOscillator();
    const level = audio.createGain();
    tone.frequency.value = 2300;
    level.gain.value = 0.06;
    tone.connect(level).connect(audio.destination);
    tone.start();
    tone.stop(audio.currentTime + ms / 1000);
  }
  function play(pattern, count) {
    if (!audio || pattern.beeps === 0) return;
    beep(pattern.on_ms);
    const last = count + 1 >= pattern.beeps;
    if (last && !pattern.repeats) return;
    const wait = pattern.on_ms + pattern.off_ms + (last ? pattern.pause_ms : 0);
    timer = setTimeout(() => play(pattern, last ? 0 : count + 1), wait);
  }
  return {
    enable(on) {
      clearTimeout(timer);
      playing = "";
      if (on && !audio) audio = new AudioContext();
      if (!on && audio) { audio.close(); audio = null; }
    },
    // The unit is out of sight: three short tones, again and again.
    alarm(on) {
      clearTimeout(timer);
      playing = on ? "alarm" : "";
      if (on && audio) play({ beeps: 3, on_ms: 120, off_ms: 120, pause_ms: 900, repeats: true }, 0);
    },
    follow(pattern, since) {
      const now = pattern.word + since;
      if (!audio || now === playing) return;
      playing = now;
      clearTimeout(timer);
      play(pattern, 0);
    },
  };
})();
