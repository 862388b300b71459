// The two lists at the foot: what rang, and how the sensors are doing.
import { ageText, capital, element, spoken } from "/text.js";

let shownLog = "";
export function showAlarmLog(list, alarms) {
  if (JSON.stringify(alarms) === shownLog) return;
  shownLog = JSON.stringify(alarms);
  list.replaceChildren(...alarms.map((alarm) => {
    const item = element("li");
    const when = element("p", "when", `${alarm.at_text}: ${alarm.state}, ${alarm.priority}`);
    const what = element("div");
    what.append(element("p", "name", alarm.title || capital(spoken(alarm.rule))), element("p", "", alarm.now_text || alarm.text));
    item.append(when, what);
    return item;
  }));
  if (!alarms.length) list.replaceChildren(element("li", "", "Nothing has rung yet."));
}

function counts(rejected) {
  return Object.entries(rejected).map(([reason, count]) => `${count} × ${spoken(reason)}`).join(", ");
}

export function showSensors(list, sensors) {
  list.replaceChildren(...sensors.map((sensor) => {
    const item = element("li");
    const what = element("p");
    what.append(element("span", "name", sensor.id), element("span", "small", capital(spoken(sensor.quantity))));
    const how = element("div");
    const value = sensor.last ? `${sensor.last.text}, ${ageText(sensor.last.age_s)}`
      : sensor.last_known ? `${sensor.last_known.text}, kept by the broker, of unknown age` : "never heard";
    how.append(element("p", "", sensor.last?.stale ? `${value} (old)` : value));
    if (sensor.available === false) how.append(element("p", "trouble", "says that it is offline"));
    if (sensor.stuck_since) how.append(element("p", "trouble", `the very same value since ${sensor.stuck_since_text}`));
    if (Object.keys(sensor.rejected).length)
      how.append(element("p", "trouble", `not used: ${counts(sensor.rejected)}`));
    if (sensor.last_reject) how.append(element("p", "small", `last: ${sensor.last_reject}`));
    item.append(what, how);
    return item;
  }));
  if (!sensors.length) list.replaceChildren(element("li", "", "No sensor is configured."));
}
