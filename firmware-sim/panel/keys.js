// Single keys for what the buttons of the front do (each shows its key), where single keys are allowed (WCAG 2.1.4): the box
// "single keys" turns them off. Within a group of buttons the arrows move, so that Tab leads from group to group.
"use strict";
const keys = (() => {
  const of = {
    key: "K", go: "G", acknowledge: "C",
    "plug-positive": "1", "plug-negative": "2", "plug-a": "3", "plug-b": "4",
    measure_battery: "M", swap_leads: "X", swap_battery: "N", warm_battery: "W",
    read_back_table: "R", load_table: "L", check_clock: "T", wait_for_lock: "U",
    measure_loop_a: "A", measure_loop_b: "B", check_plugs: "P", set_plugs_right: "O", dry_connectors: "D", remake_connectors: "E",
    replace_loop_a: "5", replace_loop_b: "6", measure_capacitor: "7", replace_capacitor: "8",
    check_area: "I", send_people_away: "Y", look_at_masts: "H", raise_mast: "J", clear_vents: "V", take_shelter: "Q", leave_shelter: "Z",
    call_receiver: "F", ask_crew_to_move: "0", change_radio: "9",
  };
  const button = {};  // by key
  function tie(name, element) {
    button[of[name]] = element;
    element.setAttribute("aria-keyshortcuts", of[name]);
  }
  function press(event) {
    if (event.ctrlKey || event.altKey || event.metaKey || event.repeat || event.target.matches("input[type=text], textarea, select")) return;
    if (!document.getElementById("letters").checked) return;
    const element = button[event.key.toUpperCase()];
    if (element) { event.preventDefault(); element.click(); }
  }
  function rove(group) {  // one stop of Tab; arrows, Home and End move inside
    const all = () => [...group.querySelectorAll("button")];
    const enter = (chosen) => { for (const one of all()) one.tabIndex = one === chosen ? 0 : -1; };
    enter(all()[0]);
    group.addEventListener("focusin", (event) => enter(event.target));
    group.addEventListener("keydown", (event) => {
      const list = all(), at = list.indexOf(document.activeElement);
      const to = { ArrowDown: at + 1, ArrowRight: at + 1, ArrowUp: at - 1, ArrowLeft: at - 1, Home: 0, End: list.length - 1 }[event.key];
      if (to === undefined || at < 0) return;
      event.preventDefault();
      list[Math.min(list.length - 1, Math.max(0, to))].focus();
    });
  }
  document.addEventListener("keydown", press);
  return { of, tie, rove };
})();
