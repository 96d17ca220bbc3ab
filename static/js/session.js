// Keeps what is typed on a page whose session ended: asks to sign in in another window, takes a new
// token and sends refused requests again. After a break of the network it tries by itself until the
// server answers. The texts of the notice are in templates/people/session_words.html.

const body = document.body;
const notice = document.getElementById("session-notice");
const waiting = new Map(); // element or form -> function that sends it again
const passed = new WeakSet(); // forms whose session was just checked
const refused = new WeakSet(); // elements whose token was refused once
const FIRST_WAIT_MS = 2000;
const LONGEST_WAIT_MS = 60000;
let resuming = false;
let said = "";
let wait = FIRST_WAIT_MS;
let next = 0; // timer of the next attempt
let sent = ""; // what to say once all that waited has arrived

function say(name) {
  if (said === name) return;
  said = name;
  notice.replaceChildren(document.getElementById(name).content.cloneNode(true));
}

function sayText(text) {
  said = "text";
  const paragraph = document.createElement("p");
  paragraph.textContent = text;
  notice.replaceChildren(paragraph);
}

function sayNothing() {
  said = "";
  notice.replaceChildren();
}

// The server can't be reached: says so, and tries again, each time after twice the wait.
function sayUnreachable() {
  say("server-unreachable");
  clearTimeout(next);
  next = setTimeout(sendAgain, wait);
  wait = Math.min(2 * wait, LONGEST_WAIT_MS);
}

// Whether a proxy answered in place of a server that is away.
function isAway(status) {
  return status >= 502 && status <= 504;
}

function take(token) {
  const headers = JSON.parse(body.getAttribute("hx-headers") || "{}");
  headers["X-CSRFToken"] = token;
  body.setAttribute("hx-headers", JSON.stringify(headers));
  for (const box of document.querySelectorAll("input[name=csrfmiddlewaretoken]")) box.value = token;
}

// Fetches and takes a new token. Returns "" or the name of the message to show.
async function renew() {
  let answer;
  try {
    answer = await fetch(body.dataset.token, { cache: "no-store", credentials: "same-origin" });
  } catch {
    return "server-unreachable";
  }
  if (answer.status === 401) return "session-ended";
  if (isAway(answer.status)) return "server-unreachable";
  if (!answer.ok) return "server-fault";
  if (answer.headers.get("Meterside-Person") !== body.dataset.person) return "session-other-person";
  take(await answer.text());
  return "";
}

async function sendAgain() {
  if (resuming) return;
  resuming = true;
  try {
    const trouble = await renew();
    if (trouble === "server-unreachable") {
      sayUnreachable();
      return;
    }
    if (trouble) {
      say(trouble);
      return;
    }
    clearTimeout(next);
    wait = FIRST_WAIT_MS;
    const sends = [...waiting.values()];
    waiting.clear();
    if (said) sent = said === "server-unreachable" ? "server-back" : "session-back";
    for (const send of sends) send();
  } finally {
    resuming = false;
  }
}

// ---- Requests of htmx

function keep(detail) {
  const { elt, target, requestConfig } = detail;
  waiting.set(elt, () => {
    if (!elt.isConnected) return;
    // htmx reads the boxes again, so what was typed meanwhile is sent too.
    window.htmx.ajax(requestConfig.verb, requestConfig.path, {
      source: elt,
      target,
      event: requestConfig.triggeringEvent,
    });
  });
}

document.addEventListener("htmx:responseError", (event) => {
  const { elt, xhr } = event.detail;
  if (xhr.status === 401) {
    keep(event.detail);
    say("session-ended");
  } else if (xhr.getResponseHeader("Meterside-Refused") === "token" && !refused.has(elt)) {
    refused.add(elt);
    keep(event.detail);
    sendAgain();
  } else if ((xhr.getResponseHeader("Content-Type") || "").startsWith("text/plain")) {
    sayText(xhr.responseText);
  } else if (isAway(xhr.status)) {
    keep(event.detail);
    sayUnreachable();
  } else {
    keep(event.detail);
    say("server-fault");
  }
});

for (const name of ["htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(name, (event) => {
    keep(event.detail);
    sayUnreachable();
  });
}

document.addEventListener("htmx:afterRequest", (event) => {
  if (!event.detail.successful) return;
  refused.delete(event.detail.elt);
  waiting.delete(event.detail.elt);
  if (waiting.size > 0 || !said) return;
  if (sent) say(sent);
  else if (!said.endsWith("-back")) sayNothing();
  sent = "";
});

// ---- Ordinary forms: check the session before anything is sent

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (event.defaultPrevented || (form.getAttribute("method") || "get").toLowerCase() !== "post") return;
  if ("noTokenCheck" in form.dataset) return;
  if (passed.delete(form)) return;
  event.preventDefault();
  const submitter = event.submitter;
  const send = () => {
    if (!form.isConnected) return;
    passed.add(form);
    form.requestSubmit(submitter?.isConnected ? submitter : null);
  };
  waiting.set(form, send); // a second click while the first is checked changes nothing
  await sendAgain();
});

// ---- Coming back from the other window, or to the network

function comeBack() {
  if (waiting.size > 0 && said) sendAgain();
}

window.addEventListener("focus", comeBack);
window.addEventListener("online", comeBack);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") comeBack();
});
// What waits is on this page alone: ask before it is left.
window.addEventListener("beforeunload", (event) => {
  if (waiting.size > 0 && said) event.preventDefault();
});
notice.addEventListener("click", (event) => {
  if (event.target.closest("[data-send-again]")) sendAgain();
});
