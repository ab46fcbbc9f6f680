// Gives the controls of a panel the names and states that ipywidgets leaves out.
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

function render({ el }) {
  el.style.display = "none";
  let frame;
  let observer;
  function look() {
    const panel = el.closest(".potash");
    if (!panel) {
      frame = requestAnimationFrame(look);
      return;
    }
    mend(panel);
    observer = new MutationObserver(() => mend(panel));
    observer.observe(panel, { childList: true, subtree: true, characterData: true });
  }
  look();
  return () => {
    cancelAnimationFrame(frame);
    observer?.disconnect();
  };
}

export default { render };
