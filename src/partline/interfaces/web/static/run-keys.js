// Keys: a foot pedal sends one, and nobody knows which. So any key that is not for typing or for
// moving about is the main control; 1, 2 and 3 are the step's controls in their order.

const LEFT_ALONE = new Set(["Tab", "Shift", "Control", "Alt", "AltGraph", "Meta", "CapsLock",
  "Escape", "F5", "F11", "F12", "ContextMenu", "Unidentified", "Process", "Dead"]);
const HOLD_OFF_MS = 700; // a foot that trembles, a pedal that bounces

export function listenToKeys({ isOn, isOpen, leave, controls, main }) {
  let last = -HOLD_OFF_MS;
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && isOpen()) leave();
    if (event.ctrlKey || event.altKey || event.metaKey || LEFT_ALONE.has(event.key)) return;
    if (isOpen() || isTyping(event.target) || isPress(event)) return;
    const number = "123".indexOf(event.key);
    const pressed = number >= 0 && controls()[number] ? () => controls()[number].click() : main;
    if (!isOn() && number < 0) return;
    event.preventDefault();
    if (event.repeat || event.timeStamp - last < HOLD_OFF_MS) return;
    last = event.timeStamp;
    pressed();
  });
}

function isTyping(target) {
  return target.matches?.("input, textarea, select, [contenteditable]") ?? false;
}

// Somebody who goes by the keyboard presses the control that shows its ring, not the main one.
function isPress(event) {
  const isActivation = event.key === "Enter" || event.key === " ";
  return isActivation && event.target.matches?.("button:focus-visible, a:focus-visible");
}
