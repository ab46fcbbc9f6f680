// A table of buttons, coloured by value, updated in place so that the focus stays where it is.
const STEPS = { ArrowRight: [0, 1], ArrowLeft: [0, -1], ArrowDown: [1, 0], ArrowUp: [-1, 0] };

function header(text, scope) {
  const cell = document.createElement("th");
  cell.scope = scope;
  cell.textContent = text;
  return cell;
}

function build(el, grid, choose) {
  const table = document.createElement("table");
  table.className = "potash-matrix";
  const head = table.createTHead().insertRow();
  head.append(header(grid.corner, "col"), ...grid.columns.map((name) => header(name, "col")));
  const body = table.createTBody();
  const buttons = grid.rows.map((name, row) => {
    const line = body.insertRow();
    line.append(header(name, "row"));
    return grid.columns.map((_, column) => {
      const button = document.createElement("button");
      button.type = "button";
      button.tabIndex = row || column ? -1 : 0;
      button.addEventListener("click", () => choose(row, column));
      button.addEventListener("keydown", (event) => walk(event, buttons, row, column));
      line.insertCell().append(button);
      return button;
    });
  });
  el.replaceChildren(table);
  return buttons;
}

function neighbour(buttons, row, column, [down, right]) {
  let next;
  do {
    row += down;
    column += right;
    next = buttons[row]?.[column];
  } while (next?.style.visibility === "hidden");
  return next;
}

function walk(event, buttons, row, column) {
  const next = STEPS[event.key] && neighbour(buttons, row, column, STEPS[event.key]);
  if (!next) return;
  event.preventDefault();
  // JupyterLab would take the arrow for a move to the next cell.
  event.stopPropagation();
  buttons[row][column].tabIndex = -1;
  next.tabIndex = 0;
  next.focus();
}

function fill(buttons, grid) {
  grid.cells.forEach((line, row) =>
    line.forEach((cell, column) => {
      const button = buttons[row][column];
      button.textContent = cell.text;
      // A place without a label is no button, but it keeps its room.
      button.style.visibility = cell.label ? "" : "hidden";
      button.style.background = cell.ground;
      button.style.color = cell.ink;
      button.setAttribute("aria-label", cell.label);
      button.setAttribute("aria-pressed", String(cell.chosen));
    }),
  );
}

function render({ model, el }) {
  let buttons;
  el.classList.add("potash-grid"); // on a narrow page it scrolls
  function choose(row, column) {
    model.set("chosen", [row, column]);
    model.save_changes();
  }
  function update() {
    const grid = model.get("grid");
    if (!grid.rows) return;
    buttons ??= build(el, grid, choose);
    fill(buttons, grid);
  }
  update();
  model.on("change:grid", update);
  return () => model.off("change:grid", update);
}

export default { render };
