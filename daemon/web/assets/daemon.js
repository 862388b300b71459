// Talking to the daemon: reads, writes with the token, and the stream of events.

export class Refused extends Error {}

async function answerOf(response) {
  let body = null;
  try {
    body = await response.json();
  } catch {
    // not JSON: the status says enough
  }
  if (response.ok) return body;
  const words = body && (body.detail || body.title) ? body.detail || body.title : `the daemon answered ${response.status}`;
  const refusal = new Refused(words);
  refusal.status = response.status;
  refusal.findings = body?.findings ?? [];
  refusal.confirmable = body?.confirmable === true;
  throw refusal;
}

export const read = async (target) => answerOf(await fetch(target, { headers: { Accept: "application/json" } }));

const tokenKey = "gyled-write-token";
export const token = {
  get: () => sessionStorage.getItem(tokenKey) || "",
  set: (word) => sessionStorage.setItem(tokenKey, word),
  forget: () => sessionStorage.removeItem(tokenKey),
};

/** Carries out a command, or throws Refused with the reason. A wrong token is forgotten and asked for again. */
export async function tell(target, body) {
  const headers = { "Content-Type": "application/json" };
  const word = token.get();
  if (word) headers.Authorization = `Bearer ${word}`;
  const response = await fetch(target, { method: "POST", headers, body: JSON.stringify(body) });
  if (response.status === 401) {
    token.forget();
    document.dispatchEvent(new Event("token-needed"));
    throw new Refused(word ? "the token was not accepted; enter it again below."
                           : "enter the write token below first.");
  }
  return answerOf(response);
}

/** Listens for ever: the browser reconnects by itself, and where it gives up we begin anew. */
export function listen({ onOpen, onLost, onVessel, onAlarm, onWatch }) {
  let source = null;
  const begin = () => {
    source = new EventSource("/api/events");
    source.addEventListener("open", onOpen);
    source.addEventListener("vessel", (event) => onVessel(JSON.parse(event.data).id));
    source.addEventListener("alarm", (event) => onAlarm(JSON.parse(event.data)));
    source.addEventListener("watch", onWatch);
    source.addEventListener("error", () => {
      onLost();
      if (source.readyState !== EventSource.CLOSED) return;
      source.close();
      setTimeout(begin, 5000);
    });
  };
  begin();
}
