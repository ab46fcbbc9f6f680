// Gives the controls of a panel the names and states that ipywidgets leaves out. When numbers are
// drawn anew, keeps open what a student opened among them, the focus where it was, and a pressed
// button pressed.
const TREMBLE = 24; // CSS pixels that a hand may move during a press

function labelOf(element) {
  const field = element.closest(".jupyter-widgets.widget-inline-hbox, .widget-radio");
  return field?.querySelector(".widget-label")?.textContent.trim() || "";
}

function set(element, name, value) {
  // Writing an attribute that is there already would wake the observer without end.
  if (value && element.getAttribute(name) !== value) element.setAttribute(name, value);
}

function mend(panel) {
  for (const handle of panel.querySelectorAll(".noUi-handle")) {
    const readout = handle.closest(".widget-inline-hbox")?.querySelector(".widget-readout");
    set(handle, "aria-label", labelOf(handle));
    set(handle, "aria-valuetext", readout?.textContent.trim());
  }
  for (const readout of panel.querySelectorAll(".widget-readout[contenteditable=true]")) {
    set(readout, "role", "textbox");
    set(readout, "aria-label", `${labelOf(readout)}, typed`);
  }
  for (const group of panel.querySelectorAll(".widget-radio-box")) {
    set(group, "role", "radiogroup");
    set(group, "aria-label", labelOf(group));
  }
  for (const field of panel.querySelectorAll("input[type=text], select")) {
    set(field, "aria-label", labelOf(field));
  }
  for (const status of panel.querySelectorAll(".potash-status")) set(status, "role", "status");
}

// A key pressed in a panel belongs to the panel. JupyterLab would take the arrows of a list to go to
// another cell, and a letter to add, cut or delete one.
function keep(event) {
  const plain = !event.ctrlKey && !event.metaKey && !event.altKey;
  if (plain && !(event.shiftKey && event.key === "Enter")) event.stopPropagation();
}

// A folded part is known by its key or its line: what is drawn anew is another element.
const keyOf = (details) => details.dataset.key ?? details.querySelector("summary")?.textContent;

// A press belongs to the button it began on: the field left by it is heard meanwhile, and what Python
// says about that may move the button away from under a finger. To move the finger away still takes
// the press back.
function hold(event) {
  const button = event.target.closest("button");
  if (!button) return;
  const { pointerId, clientX, clientY } = event;
  const follow = (at) => {
    const far = Math.hypot(at.clientX - clientX, at.clientY - clientY) > TREMBLE;
    if (far) button.releasePointerCapture(pointerId);
  };
  const end = () => button.removeEventListener("pointermove", follow);
  button.setPointerCapture(pointerId);
  button.addEventListener("pointermove", follow);
  button.addEventListener("lostpointercapture", end, { once: true });
}

// The event of a folded part comes too late: by then the part may have been drawn anew, closed.
function remember(changes, opened) {
  for (const { type, target } of changes) {
    if (type !== "attributes") continue;
    if (target.open) opened.add(keyOf(target));
    else opened.delete(keyOf(target));
  }
}

function reopen(panel, opened) {
  if (!opened.size) return;
  for (const details of panel.querySelectorAll("details:not([open])")) {
    if (opened.has(keyOf(details))) details.open = true;
  }
}

// The line of a folded part that has the focus; it stays known when it is drawn anew, and is
// forgotten when the student leaves it.
function follow(event, focus) {
  const line = event.target;
  if (event.type === "focusin") focus.line = line.matches("summary") ? line : undefined;
  else queueMicrotask(() => {
    if (line.isConnected && line === focus.line) focus.line = undefined;
  });
}

function refocus(panel, focus) {
  if (!focus.line || focus.line.isConnected) return;
  const key = keyOf(focus.line.parentElement);
  const anew = [...panel.querySelectorAll("details")].find((details) => keyOf(details) === key);
  if (anew && document.activeElement === document.body) {
    anew.querySelector("summary").focus({ preventScroll: true });
  }
}

function render({ el }) {
  el.style.display = "none";
  let frame;
  let observer;
  let panel;
  const opened = new Set();
  const focus = {};
  const moved = (event) => follow(event, focus);
  function look() {
    panel = el.closest(".potash");
    if (!panel) {
      frame = requestAnimationFrame(look);
      return;
    }
    mend(panel);
    panel.addEventListener("keydown", keep);
    panel.addEventListener("pointerdown", hold);
    panel.addEventListener("focusin", moved);
    panel.addEventListener("focusout", moved);
    observer = new MutationObserver((changes) => {
      remember(changes, opened);
      mend(panel);
      reopen(panel, opened);
      refocus(panel, focus);
    });
    const redrawn = { childList: true, characterData: true, subtree: true };
    observer.observe(panel, { ...redrawn, attributeFilter: ["open"] });
  }
  look();
  return () => {
    cancelAnimationFrame(frame);
    observer?.disconnect();
    panel?.removeEventListener("keydown", keep);
    panel?.removeEventListener("pointerdown", hold);
    panel?.removeEventListener("focusin", moved);
    panel?.removeEventListener("focusout", moved);
  };
}

export default { render };
