// The module of the furnace page. It paints the time between two looks, looks again when the book has
// grown, and keeps what was entered on this device until the book has acknowledged it. Every number
// follows from stored times, never from counted ticks: a page that slept shows the right one at once.

/** Where what is not in the book yet is kept. */
const SHELF = "casewright-unsent";
/** Tries again after this many ms. */
const AGAIN = 5000;
/** Looks without news, in ms: where no open reply can be had. */
const LOOK = 15000;

/** @typedef {{path: string, token: string, label: string, fields: [string, string][], made: number, refused?: string}} Waiting */

/** @returns {Waiting[]} */
export function shelf() {
  try {
    const kept = JSON.parse(localStorage.getItem(SHELF) ?? "[]");
    return Array.isArray(kept) ? kept : [];
  } catch {
    return [];
  }
}

/** @param {(kept: Waiting[]) => Waiting[]} change */
function keep(change) {
  localStorage.setItem(SHELF, JSON.stringify(change(shelf())));
  show();
}

/** A word of our own; works without a secure context. */
export function word() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * Seconds as on a timer, and whether they are hours.
 * @param {number} seconds
 * @returns {[string, boolean]}
 */
export function timer(seconds) {
  const whole = Math.abs(Math.floor(seconds));
  const two = (/** @type {number} */ value) => String(value).padStart(2, "0");
  return whole >= 3600
    ? [`${Math.floor(whole / 3600)}:${two(Math.floor((whole % 3600) / 60))}`, true]
    : [`${Math.floor(whole / 60)}:${two(whole % 60)}`, false];
}

const at = (/** @type {string} */ id) => document.getElementById(id);
const root = /** @type {HTMLElement | null} */ (document.querySelector(".furnace"));

/** How far this device's clock is behind the server's, in ms; taken at every look. */
let behind = 0;

function tuned() {
  const count = at("count");
  if (count) behind = Number(count.dataset.now) - Date.now();
}

function paint() {
  const count = at("count");
  const unit = at("unit");
  if (!count || !unit) return;
  const away = (Number(count.dataset.at) - (Date.now() + behind)) / 1000;
  const left = count.dataset.kind === "left";
  const late = left && away < 0;
  const [text, hours] = timer(left && !late ? away : Math.abs(away));
  const shown = (late ? "+" : "") + text;
  if (count.textContent !== shown) count.textContent = shown;
  const kind = left ? (late ? "over" : "left") : "since";
  const words = count.dataset[kind + (hours ? "H" : "M")] ?? "";
  if (unit.textContent !== words) unit.textContent = words;
  if (late) {
    const line = at("state")?.parentElement;
    const shape = line?.querySelector(".shape");
    const state = at("state");
    if (line && shape && state && state.textContent !== count.dataset.dueWord) {
      line.className = "state-line warn";
      shape.textContent = "▲";
      state.textContent = count.dataset.dueWord ?? "";
    }
  }
}

/** Looks again and takes over the parts that have changed; a form that is being filled in stays. */
async function look() {
  if (!root?.dataset.page) return;
  try {
    const reply = await fetch(root.dataset.page, { cache: "no-store", redirect: "follow" });
    if (reply.redirected) {
      location.reload();
      return;
    }
    if (!reply.ok) throw new Error(String(reply.status));
    const fresh = new DOMParser().parseFromString(await reply.text(), "text/html");
    for (const part of document.querySelectorAll("[data-swap]")) {
      const next = fresh.getElementById(part.id);
      if (!next || plain(next) === plain(part)) continue;
      const open = part.id !== "now" && part.querySelector("details[open]") !== null;
      part.replaceWith(document.adoptNode(next));
      if (open) at(part.id)?.querySelector("details")?.setAttribute("open", "");
    }
    const count = fresh.getElementById("count");
    if (count) behind = Number(count.dataset.now) - Date.now();
    lost(false);
    paint();
  } catch {
    lost(true);
  }
}

/**
 * A part without what differs at every look.
 * @param {Element} part
 */
function plain(part) {
  const copy = /** @type {Element} */ (part.cloneNode(true));
  copy.removeAttribute("data-head");
  for (const token of copy.querySelectorAll('[name="token"]')) token.remove();
  for (const open of copy.querySelectorAll("details")) open.removeAttribute("open");
  const count = copy.querySelector("#count");
  count?.removeAttribute("data-now");
  if (count) count.textContent = "";
  const unit = copy.querySelector("#unit");
  if (unit) unit.textContent = "";
  return copy.outerHTML;
}

/** @param {boolean} is */
function lost(is) {
  const line = at("lost");
  if (line) line.hidden = !is;
}

let sending = false;

/** Sends what waits, the oldest first; stops where the book does not answer. */
async function send() {
  if (sending) return;
  sending = true;
  let sent = false;
  try {
    for (const waiting of shelf()) {
      if (waiting.refused) continue;
      const form = new URLSearchParams(waiting.fields);
      form.set("token", waiting.token);
      form.set("ago_s", String(Math.max(0, (Date.now() - waiting.made) / 1000)));
      const reply = await fetch(waiting.path, { method: "POST", body: form });
      if (reply.ok) {
        await reply.json();
        keep((kept) => kept.filter((other) => other.token !== waiting.token));
        sent = true;
      } else if ([403, 404, 413, 422].includes(reply.status)) {
        // Sent again it would be refused again: a person has to look at it.
        const said = await reply.json();
        const why = (said.findings ?? [])
          .map((/** @type {{text: string, hint: string | null}} */ one) => [one.text, one.hint].filter(Boolean).join(" "))
          .join(" ");
        keep((kept) =>
          kept.map((other) => (other.token === waiting.token ? { ...other, refused: why || String(reply.status) } : other)),
        );
      } else if (reply.status === 401) {
        location.reload();
        return;
      } else {
        throw new Error(String(reply.status));
      }
    }
    lost(false);
  } catch {
    lost(true);
  } finally {
    sending = false;
  }
  if (sent) await look();
}

/** Shows what waits; permanently, until nothing does. */
function show() {
  const box = at("unsent");
  const count = at("unsent-count");
  const list = at("unsent-list");
  if (!box || !count || !list) return;
  const kept = shelf();
  box.hidden = kept.length === 0;
  count.textContent = (count.dataset.text ?? "{0}").replace("{0}", String(kept.length));
  list.replaceChildren(...kept.map((waiting) => line(waiting, box)));
}

/**
 * @param {Waiting} waiting
 * @param {HTMLElement} box
 */
function line(waiting, box) {
  const item = document.createElement("li");
  const typed = waiting.fields
    .filter(([name]) => ["what", "value", "unit", "done"].includes(name))
    .map(([, value]) => value)
    .join(" ");
  const time = new Date(waiting.made).toTimeString().slice(0, 5);
  item.textContent = `${time} ${waiting.label} ${typed}`;
  if (waiting.refused) {
    const why = document.createElement("p");
    why.textContent = `■ ${box.dataset.refused}: ${waiting.refused}`;
    const away = document.createElement("button");
    away.type = "button";
    away.className = "quiet";
    away.textContent = box.dataset.discard ?? "";
    // Two taps: what is taken off here is nowhere else.
    away.addEventListener("click", () => {
      if (away.dataset.sure) keep((kept) => kept.filter((other) => other.token !== waiting.token));
      away.dataset.sure = "yes";
      away.textContent = box.dataset.yes ?? "";
    });
    item.append(why, away);
  }
  return item;
}

/** @param {SubmitEvent} event */
function enter(event) {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || form.dataset.entry === undefined) return;
  const fields = /** @type {[string, string][]} */ (
    [...new FormData(form)].filter(([name, value]) => typeof value === "string" && name !== "token")
  );
  const run = new URL(form.action).pathname.split("/")[2];
  const waiting = {
    path: `/api/runs/${run}/entries`,
    token: word(),
    label: form.dataset.entry,
    fields,
    made: Date.now(),
  };
  try {
    keep((kept) => [...kept, waiting]);
  } catch {
    // No room to keep it: the plain form goes straight to the book.
    return;
  }
  event.preventDefault();
  form.reset();
  form.closest("details")?.removeAttribute("open");
  void send();
}

/** Tells of every growth of the book; where that is not to be had, looks now and then. */
function listen() {
  if (!root?.dataset.live) return;
  const live = new EventSource(root.dataset.live);
  live.addEventListener("grown", (event) => {
    const head = at("now")?.dataset.head;
    lost(false);
    if (event.data !== head) void look();
    void send();
  });
  live.addEventListener("error", () => lost(true));
  addEventListener("pagehide", () => live.close());
}

async function awake() {
  const line = at("awake");
  if (!line) return;
  try {
    await navigator.wakeLock.request("screen");
    line.textContent = line.dataset.yes ?? "";
  } catch {
    line.textContent = line.dataset.no ?? "";
  }
  line.hidden = false;
}

if (root) {
  tuned();
  paint();
  show();
  setInterval(paint, 250);
  setInterval(() => void look(), LOOK);
  setInterval(() => shelf().some((waiting) => !waiting.refused) && void send(), AGAIN);
  document.addEventListener("submit", enter);
  at("send-now")?.addEventListener("click", () => void send());
  addEventListener("storage", show);
  addEventListener("online", () => void send());
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    paint();
    void look();
    void send();
    void awake();
  });
  listen();
  void send();
  void awake();
  // Asks the browser not to clear the shelf under pressure; where it cannot be asked, nothing changes.
  void navigator.storage?.persist?.();
}
