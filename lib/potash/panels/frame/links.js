// Lets links to chapters open beside the panel, in JupyterLab, instead of leaving the page.
function folder() {
  const path = decodeURIComponent(location.pathname).split("/tree/")[1] ?? "";
  return path.includes("/") ? path.slice(0, path.lastIndexOf("/") + 1) : "";
}

function follow(event) {
  const link = event.target.closest("a.potash-link");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const [file, cell] = link.getAttribute("href").split("#");
  const target = { path: folder() + decodeURIComponent(file), id: cell ? `#${cell}` : "" };
  // JupyterLab listens at the body for these two attributes, after this listener ran.
  link.setAttribute("data-commandlinker-command", "rendermime:handle-local-link");
  link.setAttribute("data-commandlinker-args", JSON.stringify(target));
}

function render({ el }) {
  el.style.display = "none";
  let panel;
  let frame;
  function look() {
    panel = el.closest(".potash");
    if (panel) panel.addEventListener("click", follow);
    else frame = requestAnimationFrame(look);
  }
  look();
  return () => {
    cancelAnimationFrame(frame);
    panel?.removeEventListener("click", follow);
  };
}

export default { render };
