// The page: one sheet per vessel, kept fresh by events, and by asking again when it was away.
import { listen, read, token } from "/daemon.js";
import { showAlarmLog, showSensors } from "/lists.js";
import { clockText, daemonNow, element, setDaemonTime, setZone, spoken, write } from "/text.js";
import { Vessel } from "/vessel.js";

const at = (id) => document.getElementById(id);
const vessels = new Map();
let heardAt = 0;
let connection = "connecting";  // then "live" or "lost"

function showLive() {
  at("live").classList.toggle("lost", connection === "lost" || !heardAt);
  if (!heardAt) write(at("live"), "The daemon does not answer");
  else if (connection === "lost") write(at("live"), `Connection lost, as of ${clockText(heardAt)}`);
  else write(at("live"), connection);
}

const urgency = { critical: 3, high: 2, medium: 1, low: 0 };

function showIndex() {
  const nav = at("index");
  const links = [...vessels.values()].map((vessel) => {
    const view = vessel.view;
    const standing = view.alarms.filter((alarm) => alarm.state === "raised");
    const worst = standing.reduce((a, b) => (urgency[b.priority] > urgency[a?.priority] || !a ? b : a), null);
    const link = element("a", "");
    link.href = `#${vessel.sheet.id}`;
    const stage = view.batch ? spoken(view.batch.stages[view.batch.stage_index]?.kind ?? "") : "empty";
    const words = worst ? `${standing.length === 1 ? "an alarm" : `${standing.length} alarms`}, ${worst.priority}` : stage;
    link.append(`${view.name}: `, element("span", worst && urgency[worst.priority] >= 2 ? "urgent" : "", words));
    return link;
  });
  if (nav.textContent !== links.map((link) => link.textContent).join("")) nav.replaceChildren(...links);
  nav.hidden = vessels.size < 2;
  const calling = [...vessels.values()].flatMap((v) => v.view.alarms).filter((alarm) => alarm.state === "raised").length;
  document.title = (calling ? `(${calling}) ` : "") + at("site").textContent;
}

function showVessel(view) {
  let vessel = vessels.get(view.id);
  if (!vessel) {
    vessel = new Vessel(view.id);
    vessels.set(view.id, vessel);
    at("vessels").append(vessel.sheet);
  }
  vessel.show(view);
}

async function refreshAll() {
  try {
    const [state, alarms, sensors] =
      await Promise.all([read("/api/vessels"), read("/api/alarms?limit=12"), read("/api/sensors")]);
    setDaemonTime(state.at);
    setZone(state.display.time_zone);
    heardAt = Date.parse(state.at);
    write(at("site"), state.site || "The cellar");
    Vessel.display = state.display;
    for (const view of state.vessels) showVessel(view);
    showAlarmLog(at("log"), alarms.alarms);
    showSensors(at("sensors"), sensors.sensors);
    for (const id of ["log-section", "sensors-section", "changes-section"]) at(id).hidden = false;
    showIndex();
  } catch (trouble) {
    console.info("could not refresh:", trouble.message);
  }
  showLive();
}

/** Events may come thick; a vessel is asked for at most twice a second, the lists with the next alarm. */
const waiting = new Set();
function refreshSoon(id) {
  if (waiting.has(id)) return;
  waiting.add(id);
  setTimeout(async () => {
    waiting.delete(id);
    try {
      const view = await read(`/api/vessels/${encodeURIComponent(id)}`);
      setDaemonTime(view.at);
      heardAt = Date.parse(view.at);
      showVessel(view);
      showIndex();
    } catch (trouble) {
      console.info("could not refresh", id, trouble.message);
    }
  }, vessels.has(id) ? 250 : 0);
}

function showToken() {
  const isAllowed = token.get() !== "";
  write(at("changes-state"), isAllowed
    ? "This tab may acknowledge alarms, move to the next stage and take measurements. Closing it forgets the token."
    : "This page only shows. To acknowledge alarms, move to the next stage or note a measurement, enter the write "
      + "token from the daemon's configuration. It is kept until this tab is closed.");
  at("token-form").hidden = isAllowed;
  at("token-forget").hidden = !isAllowed;
  document.body.classList.toggle("may-write", isAllowed);
  for (const vessel of vessels.values()) vessel.show(vessel.view);
}

at("token-form").addEventListener("submit", (event) => {
  event.preventDefault();
  token.set(at("token").value.trim());
  at("token").value = "";
  showToken();
});
at("token-forget").addEventListener("click", () => {
  token.forget();
  showToken();
});
document.addEventListener("token-changed", showToken);

await refreshAll();
showToken();
listen({
  onOpen: () => {
    connection = "live";
    refreshAll();
  },
  onLost: () => {
    connection = "lost";
    showLive();
  },
  onVessel: refreshSoon,
  onAlarm: async (alarm) => {
    if (alarm.vessel) refreshSoon(alarm.vessel);
    try {
      showAlarmLog(at("log"), (await read("/api/alarms?limit=12")).alarms);
    } catch {
      // the next refresh brings it
    }
  },
});
// A phone that slept has missed events; a daemon that says nothing still has ages that grow.
document.addEventListener("visibilitychange", () => { if (!document.hidden) refreshAll(); });
setInterval(() => { for (const vessel of vessels.values()) vessel.showAges(daemonNow()); }, 10_000);
setInterval(() => { if (!document.hidden) refreshAll(); }, 60_000);
