// Shows what the server has made, keeps it up to date, and passes on what is done.
// HTML comes ready from /page/view, where names and texts were made harmless; nothing here makes any.
const part = (id) => document.getElementById(id);
const wide = matchMedia("(min-width: 50rem)");
const seenKey = "seen";
let shown = null;        // the view on the page
let answering = null;    // the id of the message that the next one answers
let refreshing = null, again = false, after = 0;

// -- asking the server --------------------------------------------------------------------------

async function ask(path, body) {
  const how = body && {
    method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
  };
  const response = await fetch(path, how || undefined);
  const answer = await response.json();
  if (!response.ok) throw new Error(answer.error || `The demo answered ${response.status}.`);
  return answer;
}

// Does something; what goes wrong is said in one line and changes nothing on the page.
async function attempt(deed) {
  say("");
  part("alert").textContent = "";
  try {
    await deed();
    return true;
  } catch (error) {
    say(error instanceof TypeError ? "The demo can't be reached. Is it still running?" : error.message);
    return false;
  }
}

function say(text) { part("status").textContent = text; }

// -- what is shown ------------------------------------------------------------------------------

// Asks again as long as something happened meanwhile; all who wait for it see the newest state.
function refresh() {
  again = true;
  refreshing ??= (async () => {
    try {
      while (again) {
        again = false;
        show(await ask("/page/view" + location.search));
      }
    } finally { refreshing = null; }
  })();
  return refreshing;
}

function show(view) {
  const moved = !shown || shown.person !== view.person || shown.chat !== view.chat;
  const atEnd = moved || innerHeight + scrollY > document.documentElement.scrollHeight - 80;
  shown = view;
  for (const name of ["day", "time", "zone", "who", "title", "label", "note"]) put(name, view[name]);
  for (const name of ["people", "chats", "commands", "openers"]) fill(name, view[name]);
  part("no-commands").hidden = Boolean(view.commands);
  part("empty").hidden = view.entries.length > 0;
  part("block").textContent = view.blocked ? "Let the bot write again" : "Block the bot";
  part("at").min = view.wall;
  if (!part("at").value || part("at").value < view.wall) part("at").value = view.wall;
  document.title = `${view.title} – the club's logbook`;
  const log = part("record");
  if (moved) { log.setAttribute("aria-live", "off"); stopAnswering(); part("text").value = draft(); }
  const changed = arrange(part("entries"), view.entries);
  if (moved) requestAnimationFrame(() => log.setAttribute("aria-live", "polite"));
  markSeen(view);
  if (atEnd && changed) scrollTo({ top: document.documentElement.scrollHeight, behavior: "instant" });
}

function put(name, text) { if (part(name).textContent !== text) part(name).textContent = text; }

// Replaces a list made by the server, if it changed, and leaves the focus where it was.
function fill(name, html) {
  const box = part(name);
  if (box.madeFrom === html) return;
  const at = [...box.querySelectorAll("a, button")].indexOf(document.activeElement);
  box.innerHTML = html;
  box.madeFrom = html;
  if (at >= 0) box.querySelectorAll("a, button")[at]?.focus();
}

// Puts the entries in place one by one, so that what didn't change stays as it is.
function arrange(list, entries) {
  const wanted = new Set(entries.map((entry) => entry.id));
  const focus = list.contains(document.activeElement) ? document.activeElement : null;
  const held = focus?.closest("li")?.id;
  const pressed = focus?.dataset.press;
  let changed = false;
  for (const old of [...list.children]) if (!wanted.has(old.id)) { old.remove(); changed = true; }
  entries.forEach((entry, place) => {
    let item = part(entry.id);
    if (!item || item.madeFrom !== entry.html) {
      const mold = document.createElement("template");
      mold.innerHTML = entry.html;
      const fresh = mold.content.firstElementChild;
      fresh.madeFrom = entry.html;
      if (item) item.replaceWith(fresh);
      item = fresh;
      changed = true;
    }
    if (list.children[place] !== item) list.insertBefore(item, list.children[place] || null);
  });
  if (held && !list.contains(document.activeElement)) keepPlace(held, pressed, list);
  return changed;
}

// What had the focus was replaced: the same button if it is still there, else its message.
function keepPlace(held, pressed, list) {
  const item = part(held) || list.lastElementChild;
  const same = [...(item?.querySelectorAll("[data-press]") || [])]
    .find((button) => button.dataset.press === pressed);
  (same || item)?.focus({ preventScroll: true });
}

// -- what is new since somebody last looked ------------------------------------------------------

function markSeen(view) {
  const first = sessionStorage.getItem(seenKey) === null;
  const seen = JSON.parse(sessionStorage.getItem(seenKey) || "{}");
  for (const [person, newest] of Object.entries(view.news)) {
    if (first || Number(person) === view.chat) seen[person] = newest;
  }
  for (const [chat, newest] of Object.entries(view.newest)) {
    const key = `${view.person}:${chat}`;
    if (first || Number(chat) === view.chat || !(key in seen)) seen[key] = newest;
  }
  sessionStorage.setItem(seenKey, JSON.stringify(seen));
  for (const link of part("people").querySelectorAll("a")) {
    const person = link.dataset.person;
    link.classList.toggle("new", view.news[person] > (seen[person] ?? 0));
  }
  for (const link of part("chats").querySelectorAll("a")) {
    const chat = link.dataset.chat;
    const before = seen[`${view.person}:${chat}`] ?? 0;
    link.classList.toggle("new", view.newest[chat] > before);
  }
}

// -- drafts: what was written but not sent survives a reload and a change of person ---------------

const draftKey = () => `draft:${shown.person}:${shown.chat}`;
const draft = () => sessionStorage.getItem(draftKey()) || "";
function keepDraft() { if (shown) sessionStorage.setItem(draftKey(), part("text").value); }

// -- writing --------------------------------------------------------------------------------------

const spot = () => ({
  person: shown.person, chat: shown.chat, ...(answering ? { reply_to: answering } : {}),
});

async function send(text) {
  const link = text.trim();
  const opens = /^https:\/\/t\.me\/\S+[?&]start=/.test(link);
  return attempt(() => (opens
    ? ask("/control/follow", { person: shown.person, link })
    : ask("/control/say", { ...spot(), text: text.trim() })));
}

async function sendWritten() {
  const text = part("text").value;
  if (!text.trim()) { part("text").focus(); return; }
  if (await send(text)) written();
}

async function sendPhoto(content) {
  const caption = part("text").value.trim();
  if (await attempt(() => ask("/control/photo", { ...spot(), caption, content }))) {
    written();
    part("photo").reset();
    closeMenus();
  }
}

function written() {
  part("text").value = "";
  keepDraft();
  stopAnswering();
  part("text").focus();
}

function answer(button) {
  answering = Number(button.dataset.answer);
  part("quoted").textContent = `In answer to ${button.dataset.quote}`;
  part("answering").hidden = false;
  part("text").focus();
}

function stopAnswering() {
  answering = null;
  part("answering").hidden = true;
}

function closeMenus() { for (const menu of document.querySelectorAll(".up")) menu.open = false; }

async function base64(file) {
  const bytes = new Uint8Array(await file.arrayBuffer());
  let text = "";
  for (let at = 0; at < bytes.length; at += 0x8000) {
    text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  }
  return btoa(text);
}

// -- going elsewhere ------------------------------------------------------------------------------

function go(search) {
  keepDraft();
  if (search !== location.search) history.pushState(null, "", search);
  return refresh();
}

function askWhoOpens(link) {
  part("opening-link").textContent = link;
  part("opening").showModal();
}

async function open(person) {
  const link = part("opening-link").textContent;
  part("opening").close();
  await attempt(async () => {
    await ask("/control/follow", { person, link });
    await go(`?person=${person}&chat=${person}`);
  });
}

async function move(body) {
  const buttons = document.querySelectorAll("[data-move], #move-at button");
  for (const each of buttons) each.disabled = true;
  const focus = document.activeElement;
  const reached = await attempt(async () => {
    say("The clock moves; what is due on the way happens.");
    await ask("/page/clock", body);
    await refresh();
  });
  for (const each of buttons) each.disabled = false;
  focus?.focus();
  if (reached) say(`It is now ${shown.day}, ${shown.time}.`);
}

// -- what the person at the keyboard does -----------------------------------------------------------

document.addEventListener("click", (event) => {
  const link = event.target.closest("#people a, #chats a");
  if (link && !event.metaKey && !event.ctrlKey && !event.shiftKey) {
    event.preventDefault();
    if (!wide.matches) part("persons").open = false;
    attempt(() => go(link.getAttribute("href")));
    return;
  }
  const button = event.target.closest("button");
  if (!button) return;
  const facts = button.dataset;
  if ("press" in facts) {
    attempt(() => ask("/control/press", {
      person: shown.person, chat: shown.chat, message: Number(facts.message), button: facts.press,
    }));
  } else if ("say" in facts) send(facts.say);
  else if ("link" in facts) askWhoOpens(facts.link);
  else if ("opener" in facts) open(Number(facts.opener));
  else if ("answer" in facts) answer(button);
  else if ("move" in facts) move({ move: facts.move });
  else if ("command" in facts) {
    part("text").value = facts.command;
    keepDraft();
    closeMenus();
    part("text").focus();
  }
});

part("writing").addEventListener("submit", (event) => { event.preventDefault(); sendWritten(); });
part("text").addEventListener("input", keepDraft);
part("text").addEventListener("keydown", (event) => {
  if (event.key === "Enter" && !event.shiftKey && !event.isComposing) {
    event.preventDefault();
    sendWritten();
  }
});
part("not-answering").addEventListener("click", () => { stopAnswering(); part("text").focus(); });
part("plain").addEventListener("click", () => sendPhoto(null));
part("photo").addEventListener("submit", async (event) => {
  event.preventDefault();
  sendPhoto(await base64(part("file").files[0]));
});
part("block").addEventListener("click", () => attempt(async () => {
  await ask(shown.blocked ? "/control/unblock" : "/control/block", { person: shown.person });
  closeMenus();
  await refresh();
}));
part("move-at").addEventListener("submit", (event) => {
  event.preventDefault();
  move({ move: "at", at: part("at").value });
});
part("newcomer").addEventListener("submit", (event) => {
  event.preventDefault();
  attempt(async () => {
    const made = await ask("/control/person", { name: part("name").value.trim() });
    part("name").value = "";
    await go(`?person=${made.id}&chat=${made.id}`);
    part("text").focus();
  });
});
for (const menu of document.querySelectorAll(".up")) {
  menu.addEventListener("toggle", () => {
    if (menu.open) for (const other of document.querySelectorAll(".up")) if (other !== menu) other.open = false;
  });
}
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  const menu = document.querySelector(".up[open]");
  if (menu) { menu.open = false; menu.querySelector("summary").focus(); }
  else if (answering) { stopAnswering(); part("text").focus(); }
});
addEventListener("popstate", () => attempt(refresh));

// -- what happens meanwhile ------------------------------------------------------------------------

let soon = 0;
function refreshSoon() {
  clearTimeout(soon);
  soon = setTimeout(() => refresh().catch(() => {}), 40);
}

function happened(event) {
  after = event.seq;
  if (event.kind === "answer" && event.text && event.person_id === shown?.person) {
    part(event.alert ? "alert" : "status").textContent = event.text;
  }
  if (event.kind !== "action") refreshSoon();
}

// Follows along; when the connection breaks it looks again until the demo answers.
function listen() {
  const stream = new EventSource(`/control/events?after=${after}`);
  stream.onmessage = (message) => happened(JSON.parse(message.data));
  stream.onerror = () => {
    stream.close();
    say("The demo can't be reached; this page tries again by itself.");
    setTimeout(reconnect, 1500);
  };
}

async function reconnect() {
  try {
    await refresh();
  } catch {
    setTimeout(reconnect, 1500);
    return;
  }
  after = shown.last_event;
  say("Back again.");
  listen();
}

function foldForWidth() {
  for (const fold of document.querySelectorAll(".folded")) fold.open = wide.matches;
}
wide.addEventListener("change", foldForWidth);
foldForWidth();

attempt(async () => {
  await refresh();
  after = shown.last_event;
  if (!location.search) history.replaceState(null, "", `?person=${shown.person}&chat=${shown.chat}`);
  listen();
});
