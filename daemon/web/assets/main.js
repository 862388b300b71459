// The page: one sheet per vessel, kept fresh by events, and by asking again when it was away.
import { listen, read, token } from "/daemon.js";
import { showAlarmLog, showSensors } from "/lists.js";
import { calling, showStanding } from "/standing.js";
import { daemonNow, element, setDaemonTime, setZone, spoken, write } from "/text.js";
import { Vessel } from "/vessel.js";
import { noteAnswer, noteStream, showWatch } from "/watch.js";

const at = (id) => document.getElementById(id);
const vessels = new Map();
let heardAt = 0;
let told = { alarms: [], impairments: [] };  // of the watch itself

const standing = () => [...told.alarms,
                        ...[...vessels.values()].flatMap(({ view }) =>
                          view.alarms.map((alarm) => ({ ...alarm, vessel_name: view.name })))];

/** The first screen: what stands, then what of the watch does not work. Title and icon tell of both in a word. */
function showFirst() {
  const now = daemonNow();
  showStanding(at("standing"), at("alarms"), standing(), now);
  const impaired = showWatch(at("watch"), told.impairments, heardAt, now);
  const count = calling(standing()).length;
  const word = count ? `${count === 1 ? "Alarm" : `${count} alarms`}: ` : impaired.length ? "Impaired: " : "";
  document.title = word + at("site").textContent;
  at("icon").href = count ? "/icon-alarm.svg" : "/icon.svg";
}

function showIndex() {
  const nav = at("index");
  const links = [...vessels.values()].map((vessel) => {
    const view = vessel.view;
    const raised = calling(view.alarms);
    const worst = raised[0]?.priority;
    const link = element("a", "");
    link.href = `#${vessel.sheet.id}`;
    const stage = view.batch ? view.batch.stages[view.batch.stage_index]?.text ?? "" : "empty";
    const words = worst ? `${raised.length === 1 ? "an alarm" : `${raised.length} alarms`}, ${worst}` : stage;
    link.append(`${view.name}: `, element("span", worst === "critical" || worst === "high" ? "urgent" : "", words));
    return link;
  });
  if (nav.textContent !== links.map((link) => link.textContent).join("")) nav.replaceChildren(...links);
  nav.hidden = vessels.size < 2;
  showFirst();
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
    told = state.watch;
    write(at("site"), state.site || "The cellar");
    Vessel.display = state.display;
    for (const view of state.vessels) showVessel(view);
    showAlarmLog(at("log"), alarms.alarms);
    showSensors(at("sensors"), sensors.sensors);
    for (const id of ["log-section", "sensors-section", "changes-section"]) at(id).hidden = false;
    noteAnswer(true, daemonNow());
    showIndex();
  } catch (trouble) {
    console.info("could not refresh:", trouble.message);
    noteAnswer(false, daemonNow());
    showFirst();
  }
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

/** An alarm was to be acknowledged: this is what is missing. */
function askForToken() {
  showToken();
  at("changes-section").hidden = false;
  at("token").focus();
}

at("token-form").addEventListener("submit", (event) => {
  event.preventDefault();
  token.set(at("token").value.trim());
  at("token").value = "";
  showToken();
  if (!at("standing").hidden) at("standing").scrollIntoView();
});
at("token-forget").addEventListener("click", () => {
  token.forget();
  showToken();
});
document.addEventListener("token-needed", askForToken);

await refreshAll();
showToken();
let hasStream = false;
listen({
  onOpen: () => {
    hasStream = true;
    document.documentElement.dataset.stream = "open";
    noteStream(true, daemonNow());
    refreshAll();
  },
  onLost: () => {
    hasStream = false;
    document.documentElement.dataset.stream = "lost";
    noteStream(false, daemonNow());
    showFirst();
    refreshAll();
  },
  onVessel: refreshSoon,
  onWatch: refreshAll,
  onAlarm: async (alarm) => {
    if (!alarm.vessel) return refreshAll();
    refreshSoon(alarm.vessel);
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
setInterval(() => { if (!document.hidden && !hasStream) refreshAll(); }, 15_000);
