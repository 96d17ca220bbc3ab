// Keeps what is typed on a page whose session ended: asks to sign in in another window, takes a new
// token and sends refused requests again. The same notice reports an unreachable server. Its texts
// are in templates/people/session_words.html.

const body = document.body;
const notice = document.getElementById("session-notice");
const waiting = new Map(); // element or form -> function that sends it again
const passed = new WeakSet(); // forms whose session was just checked
const refused = new WeakSet(); // elements whose token was refused once
let resuming = false;
let said = "";

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
    if (trouble) {
      say(trouble);
      return;
    }
    const sends = [...waiting.values()];
    waiting.clear();
    if (said) say("session-back");
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
  } else {
    keep(event.detail);
    say("server-fault");
  }
});

for (const name of ["htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(name, (event) => {
    keep(event.detail);
    say("server-unreachable");
  });
}

document.addEventListener("htmx:afterRequest", (event) => {
  if (!event.detail.successful) return;
  refused.delete(event.detail.elt);
  waiting.delete(event.detail.elt);
  if (waiting.size === 0 && said && said !== "session-back") sayNothing();
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
  if (waiting.has(form)) return; // a second click while the first is checked
  waiting.set(form, send);
  await sendAgain();
});

// ---- Coming back from the other window

function comeBack() {
  if (waiting.size > 0 && said) sendAgain();
}

window.addEventListener("focus", comeBack);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") comeBack();
});
notice.addEventListener("click", (event) => {
  if (event.target.closest("[data-send-again]")) sendAgain();
});
