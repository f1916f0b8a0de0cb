// The one module every page loads. Everything works without it; with it a change is answered while it
// is being typed, and values can be read off the pictures by pointer, touch and arrow keys.

/** Waits this long after the last key before asking, in ms. */
const PAUSE = 150;

/**
 * A number with its unit as people write it.
 * @param {string} text
 * @returns {{value: number, comma: boolean, digits: number, unit: string} | null}
 */
export function parted(text) {
  const found = /^\s*(-?\d*[.,]?\d+)\s*(.*)$/u.exec(text);
  if (!found) return null;
  const written = found[1];
  const mark = written.search(/[.,]/u);
  return {
    value: Number(written.replace(",", ".")),
    comma: written.includes(","),
    digits: mark < 0 ? 0 : written.length - mark - 1,
    unit: found[2],
  };
}

/**
 * The text with its number moved by a step.
 * @param {string} text
 * @param {number} step
 */
export function turned(text, step) {
  const now = parted(text);
  if (!now) return text;
  const needed = (String(Math.abs(step)).split(".")[1] ?? "").length;
  const next = Math.max(0, now.value + step).toFixed(Math.max(now.digits, needed));
  return `${now.comma ? next.replace(".", ",") : next} ${now.unit}`.trimEnd();
}

/** Forms that change one value of a plan. */
function dials() {
  const answer = document.querySelector("#answer");
  if (!(answer instanceof HTMLElement)) return;
  const forms = /** @type {HTMLFormElement[]} */ ([...document.querySelectorAll("form.dial")]);
  /** @type {AbortController | undefined} */
  let asking;
  /** @type {number | undefined} */
  let timer;

  /** @param {HTMLFormElement} form */
  const field = (form) =>
    /** @type {HTMLInputElement | HTMLSelectElement} */ (form.elements.namedItem("value"));

  /** @param {HTMLFormElement} form */
  const ask = async (form) => {
    for (const other of forms) {
      if (other !== form) field(other).value = field(other).dataset.plan ?? "";
    }
    asking?.abort();
    asking = new AbortController();
    const query = new URLSearchParams(/** @type {any} */ (new FormData(form)));
    try {
      const reply = await fetch(`${answer.dataset.address}?${query}`, { signal: asking.signal });
      if (!reply.ok) return form.submit();
      const open = answer.querySelector("details")?.open ?? false;
      answer.innerHTML = await reply.text();
      const details = answer.querySelector("details");
      if (details) details.open = open;
      history.replaceState(null, "", `${form.action.split("?")[0]}?${query}`);
      pictures();
    } catch (fault) {
      // An overtaken question needs no answer; without the server the plain form says so.
      if (!(fault instanceof DOMException)) form.submit();
    }
  };

  for (const form of forms) {
    const input = field(form);
    const later = () => {
      clearTimeout(timer);
      timer = setTimeout(() => ask(form), PAUSE);
    };
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      clearTimeout(timer);
      ask(form);
    });
    input.addEventListener("input", () => {
      // Half a value asks nothing: wait until a number and a unit are there.
      if (input instanceof HTMLSelectElement || parted(input.value)?.unit) later();
    });
    form.classList.add("alive");
    const step = Number(form.dataset.step ?? 0);
    for (const [name, sign] of /** @type {const} */ ([["less", -1], ["more", 1]])) {
      const button = form.querySelector(`.${name}`);
      if (!(button instanceof HTMLButtonElement)) continue;
      button.hidden = false;
      button.addEventListener("click", () => {
        input.value = turned(input.value, sign * step);
        later();
      });
    }
  }
}

/** Values are read off the table that stands under the pictures. */
function pictures() {
  const curves = document.querySelector(".curves");
  const said = curves?.querySelector(".value");
  if (!(curves instanceof HTMLElement) || !(said instanceof HTMLElement)) return;
  const rows = /** @type {HTMLTableRowElement[]} */ ([...curves.querySelectorAll("tr[data-depth]")]);
  const heads = [...curves.querySelectorAll("thead th")].map((head) => head.textContent);
  const [width, left, right, end] = ["width", "left", "right", "end"].map((name) =>
    Number(curves.dataset[name]),
  );
  const drawings = /** @type {SVGSVGElement[]} */ ([...curves.querySelectorAll("figure.read svg")]);
  const crosses = drawings.map((drawing) => {
    const line = document.createElementNS("http://www.w3.org/2000/svg", "line");
    line.setAttribute("class", "cross");
    const height = drawing.viewBox.baseVal.height;
    line.setAttribute("y1", "0");
    line.setAttribute("y2", String(height));
    line.setAttribute("visibility", "hidden");
    drawing.append(line);
    return line;
  });
  let at = 0;

  /** @param {number} row */
  const show = (row) => {
    at = Math.min(Math.max(row, 0), rows.length - 1);
    const cells = [...rows[at].cells].map((cell, column) => `${heads[column]} ${cell.textContent}`);
    said.textContent = cells.join(" · ");
    const x = left + ((right - left) * Number(rows[at].dataset.depth)) / end;
    for (const line of crosses) {
      line.setAttribute("x1", String(x));
      line.setAttribute("x2", String(x));
      line.setAttribute("visibility", "visible");
    }
  };

  drawings.forEach((drawing) => {
    /** @param {PointerEvent} event */
    const point = (event) => {
      const place = drawing.getBoundingClientRect();
      const x = ((event.clientX - place.left) / place.width) * width;
      show(Math.round(((x - left) / (right - left)) * (rows.length - 1)));
    };
    drawing.addEventListener("pointermove", point);
    drawing.addEventListener("pointerdown", point);
    drawing.parentElement?.addEventListener("keydown", (event) => {
      const moves = { ArrowLeft: at - 1, ArrowRight: at + 1, Home: 0, End: rows.length - 1 };
      const to = moves[/** @type {keyof typeof moves} */ (event.key)];
      if (to === undefined) return;
      event.preventDefault();
      show(to);
    });
  });
}

/** Sizes that the chosen shape has not are put away, and not sent. */
function shapes() {
  const shape = document.querySelector("#field-shape");
  if (!(shape instanceof HTMLSelectElement)) return;
  const sort = () => {
    for (const field of document.querySelectorAll("[data-shapes]")) {
      if (!(field instanceof HTMLElement)) continue;
      const input = field.querySelector("input");
      field.hidden = !field.dataset.shapes?.split(" ").includes(shape.value);
      if (input) input.disabled = field.hidden;
    }
  };
  shape.addEventListener("change", sort);
  sort();
}

dials();
pictures();
shapes();
