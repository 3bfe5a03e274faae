// Draws the board from plain values; every word goes in as text, none as markup.
const SVG = "http://www.w3.org/2000/svg";

function make(tag, kind, text) {
  const element = document.createElement(tag);
  if (kind) element.className = kind;
  if (text) element.textContent = text;
  return element;
}

function under(parent, ...children) {
  parent.append(...children.filter(Boolean));
  return parent;
}

function role(element, name) {
  element.setAttribute("role", name);
  return element;
}

const share = (value) => `${(100 * value).toFixed(2)}%`;

function axis(cell) {
  const line = make("div", "axis");
  if (cell.low !== null) {
    const span = make("div", cell.guess ? "span guess" : "span");
    span.style.left = share(cell.low);
    span.style.width = share(cell.width);
    line.append(span);
  }
  if (cell.middle !== null) {
    const middle = make("div", "middle");
    middle.style.left = share(cell.middle);
    line.append(middle);
  }
  if (cell.beyond) line.append(make("div", cell.low === null || cell.guess ? "beyond alone" : "beyond"));
  return line;
}

function nozzles(cell) {
  if (!cell.missing) return null;
  const picture = document.createElementNS(SVG, "svg");
  picture.setAttribute("viewBox", "0 0 60 16");
  picture.setAttribute("aria-hidden", "true");
  const points = cell.line.map(([x, y]) => [60 * x, 15 - 13 * y]);
  const line = document.createElementNS(SVG, "polyline");
  line.setAttribute("points", points.map((point) => point.join(",")).join(" "));
  const dot = document.createElementNS(SVG, "circle");
  const [x, y] = points[points.length - 1];
  dot.setAttribute("cx", x);
  dot.setAttribute("cy", y);
  dot.setAttribute("r", 2);
  picture.append(line, dot);
  return under(make("div", "nozzles"), picture, make("span", "quiet", cell.missing));
}

function cellButton(cell, column, send, printer) {
  const button = make("button", "cell");
  button.type = "button";
  button.style.setProperty("--colour", cell.colour);
  button.setAttribute("aria-label", cell.said);
  button.onclick = () => send({ printer, part: cell.part, position: cell.position });
  button.append(make("span", "name-on-phone", column));
  if (cell.age) {
    under(button, make("span", "age", cell.age), make("span", "where quiet", cell.where),
      axis(cell), make("span", "lasts quiet", cell.lasts), nozzles(cell));
  }
  if (cell.empty) button.append(make("div", cell.age ? "empty" : "empty alone", cell.empty));
  return button;
}

function printerButton(row, send) {
  const button = make("button", "printer");
  button.type = "button";
  button.setAttribute("aria-label", [row.printer, row.stateWord, row.since, row.headType, row.open].filter(Boolean).join(", "));
  button.onclick = () => send({ printer: row.printer });
  const shape = make("span", `shape ${row.state}`);
  shape.style.setProperty("--tint", row.stateColour);
  const state = under(make("span", "state"), shape, make("span", "", row.stateWord));
  return under(button, make("span", "name", row.printer), state,
    row.since ? make("span", "quiet", row.since) : null,
    row.headType ? make("span", "quiet", row.headType) : null,
    row.site ? make("span", "quiet", row.site) : null);
}

function ticks(data) {
  const line = make("div", "ticks");
  line.setAttribute("aria-hidden", "true");
  for (const tick of data.ticks) {
    const mark = make("span", "", tick.text);
    mark.style.left = share(tick.at);
    line.append(mark);
  }
  return line;
}

function legend(data) {
  const line = make("div", "legend quiet");
  for (const kind of ["middle", "guess"]) {
    const sample = make("span", `sample ${kind}-sample`);
    sample.setAttribute("aria-hidden", "true");
    line.append(under(make("span", "entry"), sample, make("span", "", data.legend[kind])));
  }
  return line;
}

function draw(data, send) {
  const table = role(make("div", "board"), "table");
  table.setAttribute("aria-label", data.label);
  // The first column of parts is wider: a head has its missing nozzles besides.
  const widths = data.columns.map((_, at) => `minmax(0, ${at ? 1 : 1.25}fr)`);
  table.style.setProperty("--widths", ["7.6rem", ...widths].join(" "));
  const head = role(make("div", "row head"), "row");
  head.append(under(role(make("div"), "columnheader"), make("div", "title", data.first),
    make("div", "months quiet", data.axis)));
  for (const name of data.columns) {
    head.append(under(role(make("div"), "columnheader"), make("div", "title", name), ticks(data)));
  }
  table.append(head);
  for (const row of data.rows) {
    const line = role(make("div", "row"), "row");
    line.append(under(role(make("div"), "rowheader"), printerButton(row, send)));
    line.append(under(make("div", "axis-on-phone"), make("span", "quiet", data.axis), ticks(data)));
    row.cells.forEach((cell, at) => {
      const place = role(make("div", cell ? "" : "none-cell"), "cell");
      place.append(cell ? cellButton(cell, data.columns[at], send, row.printer) : make("div", "none", "–"));
      line.append(place);
    });
    table.append(line);
  }
  return table;
}

export default function ({ data, parentElement, setTriggerValue }) {
  const place = parentElement.querySelector(".place");
  const written = JSON.stringify(data);
  place.send = (what) => setTriggerValue("opened", what);
  if (place.written === written) return; // drawn already: what has the focus keeps it
  place.written = written;
  place.style.setProperty("--bad", data.bad);
  place.replaceChildren(legend(data), draw(data, (what) => place.send(what)));
}
