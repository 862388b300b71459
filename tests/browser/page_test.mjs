// node page_test.mjs PAGE_SERVER OUTPUT_FOLDER
// A real browser looks at the page; screenshots land in the output folder.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { createServer } from "node:net";
import { join } from "node:path";
import { after, before, beforeEach, afterEach, describe, test } from "node:test";
import { alarms, allowChanges, desk, launch, number, open, PageServer, phone, seeAll, vessel } from "./harness.mjs";

const [program, output] = process.argv.slice(2);
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

let browser;
let server;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

async function freePort() {
  const probe = createServer();
  await new Promise((resolve) => probe.listen(0, "127.0.0.1", resolve));
  const { port } = probe.address();
  await new Promise((resolve) => probe.close(resolve));
  return port;
}

describe("the page", () => {
  let page;
  beforeEach(async () => { server = await PageServer.start(program, await freePort()); });
  afterEach(async () => {
    await page?.context().close();
    page = undefined;
    await server.stop();
  });

  test("shows what the API says", async () => {
    page = await open(browser, server);
    for (const view of (await server.read("/api/vessels")).vessels) {
      assert.equal(await vessel(page, view.id).locator(".sentence").textContent(), view.sentence);
      const shown = {
        "Gravity": view.estimates.gravity_now, "Temperature": view.measured.beer_temperature,
        "Head pressure": view.measured.head_pressure, "Dissolved CO₂": view.estimates.co2_volumes,
        "Alcohol by volume": view.estimates.alcohol_by_volume,
      };
      for (const [label, value] of Object.entries(shown)) {
        assert.equal(await number(page, view.id, label).locator(".value").textContent(), value.text, label);
        if (value.interval)
          assert.equal(await number(page, view.id, label).locator(".interval").textContent(), value.interval, label);
      }
      assert.deepEqual(await alarms(page, view.name).locator(".text").allTextContents(),
                       view.alarms.map((alarm) => alarm.now_text));
      assert.equal(await vessel(page, view.id).locator(".stage").count(), view.batch.stages.length);
    }
    assert.equal(await number(page, "north", "Carbonated about").locator(".value").textContent(), "Saturday afternoon to Monday morning");
    assert.equal(await number(page, "north", "Limit reached about").count(), 0, "no end in sight: no number");
    assert.deepEqual(page.complaints, []);
  });

  test("makes an old number look old, in words too", async () => {
    page = await open(browser, server);
    const gravity = number(page, "south", "Gravity");
    assert.match(await gravity.locator(".age").textContent(), /3 h 20 min ago: old/);
    assert.match(await gravity.getAttribute("class"), /stale/);
    assert.doesNotMatch(await number(page, "south", "Temperature").locator(".age").textContent(), /old/);
  });

  test("shows a new reading at once", async () => {
    page = await open(browser, server);
    await server.tell("read north gravity 1.0093");
    await number(page, "north", "Gravity").locator(".value", { hasText: "1.009" }).waitFor({ timeout: 5000 });
    await server.tell("read north beer_temperature 9.7");
    await number(page, "north", "Temperature").locator(".value", { hasText: "9.7 °C" }).waitFor({ timeout: 5000 });
    assert.match(await number(page, "north", "Temperature").locator(".note").textContent(), /Above its band/);
    assert.deepEqual(page.complaints, []);
  });

  test("leads with the countdown on brew day", async () => {
    page = await open(browser, server);
    await server.tell("brewday");
    await vessel(page, "south").locator(".stage.now", { hasText: "Strike" }).waitFor({ timeout: 5000 });
    const countdown = vessel(page, "south").locator(".countdown");
    assert.equal(await countdown.locator("strong").textContent(), "Strike ready 18:41");
    assert.equal(await countdown.locator("span").textContent(), "18:39 to 18:44");
    assert.equal(await vessel(page, "north").locator(".countdown").isVisible(), false, "nothing is waited for");
    const first = vessel(page, "south").locator(".number").first();
    assert.equal(await first.locator("dt").textContent(), "Ready about");
    assert.equal(await first.locator(".value").textContent(), "Fri 13 Mar 18:41");
    assert.match(await first.locator(".age").textContent(), /^In (40|41) min$/);
    assert.match(await number(page, "south", "Temperature").locator(".note").textContent(), /Below its band, 71\.0 to 73\.0 °C/);
    assert.equal(await page.locator(".alarm").count(), 0);
    assert.deepEqual(page.complaints, []);
  });

  /** The first alarm, what to do about it and its button, all above the fold of this screen. */
  async function isOnFirstScreen(height) {
    const first = page.locator(".alarm").first();
    for (const part of [".kind", ".text", ".first-action"]) {
      const box = await first.locator(part).boundingBox();
      assert.ok(box && box.y >= 0 && box.y + box.height <= height, `${part}: ${JSON.stringify(box)}`);
    }
    const button = await first.getByRole("button", { name: "Acknowledge" }).boundingBox();
    assert.ok(button && button.y + button.height <= height && button.height >= 44, JSON.stringify(button));
  }

  test("begins with what stands: at 99 % of the limit the first screen tells, and what to do first", async () => {
    await server.tell("calm");
    await server.tell("press 99");
    page = await open(browser, server);
    await isOnFirstScreen(844);
    const first = page.locator(".alarm").first();
    assert.match(await first.locator(".kind").textContent(), /^Critical alarm, North, since \d\d:\d\d$/);
    assert.equal(await first.locator(".text").textContent(),
                 "Head pressure is 1.78 bar; the relief valve is set to 1.80 bar.");
    assert.match(await first.locator(".first-action").textContent(), /^First: Shut the gas and cool the vessel/);
    assert.match(await first.locator(".first-aid").textContent(), /Never block the relief valve/);
    assert.equal(await page.title(), "Alarm: Harbour cellar");
    assert.match(await page.locator("#icon").getAttribute("href"), /alarm/);
    const [alarm, watch, sheet] = await Promise.all([".alarm", "#watch", ".vessel"].map(async (what) =>
      (await page.locator(what).first().boundingBox()).y));
    assert.ok(alarm < watch && watch < sheet, "alarms, then the watch, then the rest");
  });

  test("tells the shape and the word of a priority, not its colour alone", async () => {
    page = await open(browser, server);
    const shapes = await page.locator(".alarm .mark").evaluateAll((marks) => marks.map((mark) => {
      const { clipPath, borderRadius } = getComputedStyle(mark);
      return clipPath + borderRadius;
    }));
    assert.equal(shapes.length, 2);
    assert.notEqual(shapes[0], shapes[1]);
    assert.match(await page.locator(".alarm").nth(0).locator(".kind").textContent(), /^Critical alarm, South/);
    assert.match(await page.locator(".alarm").nth(1).locator(".kind").textContent(), /^Low alarm, South/);
  });

  test("follows an acknowledged alarm as it grows, and draws a number beyond its limit so", async () => {
    await server.tell("calm");
    await server.tell("press 95");
    page = await open(browser, server);
    await allowChanges(page);
    await page.getByRole("button", { name: "Acknowledge" }).click();
    await page.locator(".alarm.acknowledged").waitFor({ timeout: 5000 });
    assert.equal(await page.getByRole("button", { name: "Acknowledge" }).count(), 0);

    await server.tell("press 127");
    const first = page.locator(".alarm").first();
    await first.locator(".text", { hasText: "2.29 bar" }).waitFor({ timeout: 5000 });
    assert.match(await first.locator(".kind").textContent(), /^Critical alarm, acknowledged, North/);
    const head = number(page, "north", "Head pressure");
    assert.equal(await head.locator(".note").textContent(), "At or above the limit of 1.80 bar");
    assert.equal(await head.locator(".mark").isVisible(), true);
    const plain = number(page, "north", "Temperature");
    assert.equal(await plain.locator(".mark").isVisible(), false);
    const ink = (what) => what.locator(".value").evaluate((value) => getComputedStyle(value).color);
    assert.notEqual(await ink(head), await ink(plain));
    assert.deepEqual(page.complaints, []);
  });

  test("is calm in a word when nothing is the matter", async () => {
    await server.tell("calm");
    page = await open(browser, server);
    assert.equal(await page.locator("#watch").textContent(), "Watching");
    assert.equal(await page.locator("#standing").isVisible(), false);
    assert.equal(await page.title(), "Harbour cellar");
  });

  /** Words that would say all is seen. */
  const claimsToSee = () => page.evaluate(() => /\blive\b|\bwatching\b/i.test(
    `${document.getElementById("watch").innerText} ${document.querySelector(".top").innerText}`));

  test("never claims to see while the broker is lost", async () => {
    await server.tell("calm");
    page = await open(browser, server);
    assert.equal(await claimsToSee(), true);
    await server.tell("impair broker_lost no connection to the broker");
    await server.tell("impair delivery_failing phone not reached: answered 404");
    await page.locator("#watch li").nth(1).waitFor({ timeout: 5000 });
    assert.match(await page.locator("#watch li").nth(0).textContent(), /^No connection to the broker, since 17:58\. Look at the vessels yourself until it is back\. Check the broker/);
    assert.match(await page.locator("#watch li").nth(1).textContent(), /^Phone not reached: answered 404, since 17:58\./);
    assert.equal(await claimsToSee(), false);
    assert.equal(await page.title(), "Impaired: Harbour cellar");
    const box = await page.locator("#watch").boundingBox();
    assert.ok(box.y + box.height <= 844, "on the first screen");

    await server.tell("mend");
    await page.locator("#watch", { hasText: /^Watching$/ }).waitFor({ timeout: 5000 });
    assert.deepEqual(page.complaints, []);
  });

  test("never claims to see while no sensor speaks, and what rests on old readings looks old", async () => {
    await server.tell("calm");
    await server.tell("silence 95");
    page = await open(browser, server);
    assert.match(await page.locator("#watch li").textContent(), /^All of \d sensors silent: .*, since 16:25\./);
    assert.equal(await claimsToSee(), false);
    for (const label of ["Gravity", "Temperature", "Head pressure", "Dissolved CO₂", "Alcohol by volume", "Carbonated about"]) {
      const shown = number(page, "north", label);
      assert.match(await shown.getAttribute("class"), /stale/, label);
      assert.match(await shown.locator(".age").textContent(), /\bold\b/i, label);
    }
    assert.match(await number(page, "north", "Alcohol by volume").locator(".age").textContent(), /^Old: gravity 1 h 35 min ago$/);
  });

  test("says where to enter the token to whoever acknowledges without it", async () => {
    page = await open(browser, server);
    await page.getByRole("button", { name: "Acknowledge" }).first().click();
    await page.locator(".alarm .not-done", { hasText: "enter the write token" }).first().waitFor({ timeout: 5000 });
    assert.equal(await page.locator("#token").evaluate((field) => document.activeElement === field), true);
    assert.equal((await server.read("/api/vessels/south")).alarms[0].state, "raised");
  });

  test("keeps the button under the thumb while the words change", async () => {
    await server.tell("calm");
    await server.tell("press 96");
    page = await open(browser, server);
    const button = await page.getByRole("button", { name: "Acknowledge" }).elementHandle();
    await server.tell("press 97");
    await page.locator(".alarm .text", { hasText: "1.75 bar" }).waitFor({ timeout: 5000 });
    assert.equal(await button.evaluate((made) => made.isConnected), true);
  });

  test("comes back after the connection was cut", async () => {
    page = await open(browser, server);
    await server.tell("calm");
    await server.tell("hush");
    await page.locator("#watch li").first().waitFor();  // the stream is cut; for a moment nobody answers at all
    assert.equal(await claimsToSee(), false);
    await server.tell("read north head_pressure 91");
    await page.locator("#watch", { hasText: /^Watching$/ }).waitFor({ timeout: 20_000 });
    await number(page, "north", "Head pressure").locator(".value", { hasText: "0.91" }).waitFor({ timeout: 5000 });
  });

  test("says that the daemon is gone", async () => {
    await server.tell("calm");
    page = await open(browser, server);
    const { port } = server;
    await server.stop();
    await page.locator("#watch li", { hasText: /No connection to gyled, all below is as of \d\d:\d\d, since \d\d:\d\d/ }).waitFor({ timeout: 10_000 });
    assert.equal(await claimsToSee(), false);
    server = await PageServer.start(program, port);
    await server.tell("calm");
    await page.locator("#watch", { hasText: /^Watching$/ }).waitFor({ timeout: 20_000 });
  });

  test("speaks the person's units", async () => {
    await server.tell("units us");
    page = await open(browser, server);
    const north = await server.read("/api/vessels/north");
    assert.match(north.measured.beer_temperature.text, /°F$/);
    assert.equal(await number(page, "north", "Temperature").locator(".value").textContent(),
                 north.measured.beer_temperature.text);
    await seeAll(page);
    assert.match(await vessel(page, "north").locator(".trend.temperature .readout").textContent(), /°F/);
  });

  test("draws the trends that the API tells, and reads them out under the finger", async () => {
    page = await open(browser, server, desk);
    await vessel(page, "north").getByRole("button", { name: "Batch" }).click();
    await seeAll(page);
    const chart = vessel(page, "north").locator(".trend.gravity");
    const summary = await chart.locator(".summary").textContent();
    assert.match(summary, /^1\.04\d SG at the start, 1\.011 SG at the end/);
    const inked = await chart.locator("canvas").evaluate((canvas) => {
      const pixels = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
      let count = 0;
      for (let i = 3; i < pixels.length; i += 4) if (pixels[i] > 200) count += 1;
      return count;
    });
    assert.ok(inked > 1000, `${inked} pixels of ink`);

    await chart.locator(".plot").scrollIntoViewIfNeeded();
    const box = await chart.locator(".plot").boundingBox();
    await page.mouse.move(box.x + box.width / 3, box.y + box.height / 2);
    const readout = await chart.locator(".readout").textContent();
    const [, when, read] = readout.match(/^(\w+ \d+ \w+ \d\d:\d\d): .*estimate (\d\.\d{3}) SG/);
    const trend = await server.read("/api/vessels/north/trend?quantity=gravity_now&from=1772388000000&points=600");
    const year = 2026;
    const t = Date.parse(`${when.slice(4)} ${year} UTC`);
    const nearest = trend.t.reduce((best, at, i) => (Math.abs(Date.parse(at) - t) < Math.abs(Date.parse(trend.t[best]) - t) ? i : best), 0);
    assert.ok(Math.abs(Number(read) - trend.v[nearest]) < 0.001, `${read} is not ${trend.v[nearest]}`);
    const other = await vessel(page, "north").locator(".trend.pressure .readout").textContent();
    assert.equal(other.split(": ")[0], readout.split(": ")[0], "the cursors are linked");

    await page.mouse.move(5, 5);
    assert.notEqual(await chart.locator(".readout").textContent(), readout, "and let go");
    assert.deepEqual(page.complaints, []);
  });

  test("lets the page scroll under one finger", async () => {
    page = await open(browser, server);
    assert.equal(await page.locator(".plot").first().evaluate((plot) => getComputedStyle(plot).touchAction), "pan-y");
  });

  test("can be read by keyboard", async () => {
    page = await open(browser, server, desk);
    await seeAll(page);
    const plot = vessel(page, "north").locator(".trend.temperature .plot");
    await plot.focus();
    await page.keyboard.press("Home");
    const first = await plot.getAttribute("aria-valuetext");
    assert.match(first, /^Thu 12 Mar \d\d:\d\d: beer .* °C/);
    await page.keyboard.press("ArrowRight");
    const second = await plot.getAttribute("aria-valuetext");
    assert.notEqual(second, first);
    assert.equal(await vessel(page, "north").locator(".trend.temperature .readout").textContent(), second);
  });

  test("only shows, until the token is there", async () => {
    page = await open(browser, server);
    assert.equal(await vessel(page, "north").locator(".doing").isVisible(), false);

    await allowChanges(page);
    const alarm = page.locator(".alarm").first();
    await alarm.getByRole("button", { name: "Acknowledge" }).click();
    await alarm.locator(".kind", { hasText: "acknowledged" }).waitFor({ timeout: 5000 });
    assert.equal((await server.read("/api/vessels/south")).alarms[0].state, "acknowledged");
    assert.deepEqual(page.complaints, []);
  });

  test("says when the token is wrong", async () => {
    page = await open(browser, server);
    await allowChanges(page, "guess");
    await page.getByRole("button", { name: "Acknowledge" }).first().click();
    await page.locator(".alarm .not-done", { hasText: "the token was not accepted" }).first().waitFor({ timeout: 5000 });
    assert.equal(await page.locator("#token-form").isVisible(), true);
    assert.equal((await server.read("/api/vessels/south")).alarms[0].state, "raised");
  });

  test("moves to the next stage, but not by accident", async () => {
    page = await open(browser, server);
    await allowChanges(page);
    const next = vessel(page, "north").getByRole("button", { name: /next stage|Confirm: start/ });
    await next.click();
    assert.equal((await server.read("/api/vessels/north")).batch.stage_index, 3, "one touch asks");
    await next.click();
    await vessel(page, "north").locator(".stage.now", { hasText: "Serve" }).waitFor({ timeout: 5000 });
    assert.equal((await server.read("/api/vessels/north")).batch.stage_index, 4);
  });

  test("leaves a stage out, goes back, and takes the step back", async () => {
    page = await open(browser, server);
    await allowChanges(page);
    const south = vessel(page, "south");
    const press = async (name) => {
      const button = south.getByRole("button", { name });
      await button.click();
      await button.click();
    };
    await south.getByText("Other steps").click();
    await south.getByLabel("Why").fill("no time for it");
    await press(/eave out diacetyl rest, start crash/);
    await south.locator(".stage.now", { hasText: "Crash" }).waitFor({ timeout: 5000 });
    assert.match(await south.locator(".stage.skipped").textContent(), /Diacetyl rest.*left out/);
    assert.equal((await server.read("/api/vessels/south")).batch.entered.at(-1).why, "no time for it");
    assert.equal(await south.getByLabel("Why").inputValue(), "");

    await press(/ack to diacetyl rest, once more/);
    await south.locator(".stage.now", { hasText: "Diacetyl rest" }).waitFor({ timeout: 5000 });
    await press(/ake back that diacetyl rest has begun/);
    await south.locator(".stage.now", { hasText: "Crash" }).waitFor({ timeout: 5000 });
    await page.screenshot({ path: join(output, "steps-phone.png"), fullPage: true });
    assert.deepEqual(page.complaints, []);
  });

  const doubt = "Stage 5 (serve): the regulator is set to 1.70 bar, where a relief valve marked 1.80 bar may lift already.";

  test("tells what of the plan the vessel does not bear, and goes on only once that is confirmed", async () => {
    page = await open(browser, server);
    await allowChanges(page);
    await server.tell(`doubt ${doubt}`);
    await vessel(page, "north").locator(".finding", { hasText: `Doubtful: ${doubt}` }).waitFor({ timeout: 5000 });
    const next = vessel(page, "north").getByRole("button", { name: /next stage|Confirm: start/ });
    await next.click();
    await next.click();
    const dialog = page.getByRole("dialog", { name: "Is it meant so?" });
    await dialog.locator(".finding", { hasText: doubt }).waitFor({ timeout: 5000 });
    await page.screenshot({ path: join(output, "confirm-phone.png") });
    assert.equal(await dialog.getByRole("button", { name: "No, leave" }).evaluate((b) => document.activeElement === b), true,
                 "a second touch confirms nothing");
    await page.evaluate(axe);
    const wrong = await page.evaluate(() => window.axe.run(document));
    assert.deepEqual(wrong.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target).join(" ")}`), []);

    await page.keyboard.press("Escape");
    await vessel(page, "north").locator(".said", { hasText: /^Not done: Stage 5/ }).waitFor();
    assert.equal((await server.read("/api/vessels/north")).batch.stage_index, 3);

    await next.click();
    await next.click();
    await dialog.getByRole("button", { name: "go on" }).click();
    await vessel(page, "north").locator(".stage.now", { hasText: "Serve" }).waitFor({ timeout: 5000 });
    assert.equal(await page.locator("dialog").count(), 0);
    assert.deepEqual(page.complaints.filter((complaint) => !complaint.includes("409")), []);
  });

  test("offers no way on where it is dangerous", async () => {
    await server.tell("danger <b>Stage 5</b> (serve): the regulator is set to 5.00 bar, and the relief valve opens at 1.80 bar.");
    page = await open(browser, server);
    await allowChanges(page);
    assert.match(await vessel(page, "north").locator(".finding.dangerous").textContent(), /^Dangerous: <b>Stage 5<\/b>/, "text, not markup");
    const next = vessel(page, "north").getByRole("button", { name: /next stage|Confirm: start/ });
    await next.click();
    await next.click();
    const dialog = page.getByRole("dialog", { name: "The vessel does not bear this" });
    await dialog.waitFor({ timeout: 5000 });
    assert.deepEqual(await dialog.getByRole("button").allTextContents(), ["Close"]);
    await dialog.getByRole("button").click();
    assert.equal((await server.read("/api/vessels/north")).batch.stage_index, 3);
  });

  test("takes a measurement as it was typed, and says what is wrong with one that is none", async () => {
    page = await open(browser, server);
    await allowChanges(page);
    const doing = vessel(page, "north").locator(".doing");
    await doing.getByLabel("Measured by hand").selectOption("gravity");
    await doing.getByLabel("Value").fill("1023");
    await doing.getByRole("button", { name: "Save" }).click();
    await doing.locator(".said", { hasText: "did you mean 1.023?" }).waitFor();
    await doing.getByLabel("Value").fill("12 P");
    await doing.getByRole("button", { name: "Save" }).click();
    await doing.locator(".said", { hasText: "Noted." }).waitFor();
    // 12 degrees Plato are 1.0484 SG (ASBC's table of extract, 20/20 degC; from memory)
    assert.ok(Math.abs((await server.read("/api/vessels/north")).measured.gravity.value - 1.0484) < 1e-4);
  });

  test("shows what comes from the broker as text, never as markup", async () => {
    page = await open(browser, server);
    const trouble = page.locator(".sensors li", { hasText: "south_gravity" });
    assert.match(await trouble.textContent(), /found string at byte 7: <b>low<\/b>/);
    assert.equal(await trouble.locator("b").count(), 0);
  });

  test("points somewhere without JavaScript", async () => {
    page = await open(browser, server, { ...phone, javaScriptEnabled: false });
    assert.match(await page.locator("main").innerText(), /\/api\/vessels/);
  });

  test("is light to load and stands still", async () => {
    page = await open(browser, server);
    await page.waitForTimeout(500);
    const shift = await page.evaluate(() => new Promise((resolve) => {
      let sum = 0;
      new PerformanceObserver((list) => { for (const entry of list.getEntries()) sum += entry.value; })
        .observe({ type: "layout-shift", buffered: true });
      setTimeout(() => resolve(sum), 300);
    }));
    assert.ok(shift < 0.1, `layout shift ${shift}`);
    await seeAll(page);
    const sent = await page.evaluate(() => performance.getEntries()
      .filter((entry) => entry.transferSize && !entry.name.includes("/api/"))
      .reduce((sum, entry) => sum + entry.transferSize, 0));
    assert.ok(sent > 60_000 && sent < 150_000, `${sent} bytes`);
  });

  for (const [state, orders] of [
    ["calm", ["calm"]], ["danger", ["calm", "press 99"]], ["beyond", ["calm", "press 127"]],
    ["blind", ["calm", "silence 95", "impair broker_lost no connection to the broker", "impair delivery_failing phone not reached"]],
  ])
    for (const colorScheme of ["light", "dark"])
      for (const [device, options] of [["phone", phone], ["desk", desk]])
        test(`first screen, accessible and photographed: ${state}, ${device}, ${colorScheme}`, async () => {
          for (const order of orders) await server.tell(order);
          page = await open(browser, server, { ...options, colorScheme });
          if (state === "danger" || state === "beyond") await isOnFirstScreen(options.viewport.height);
          await page.screenshot({ path: join(output, `first-${device}-${state}-${colorScheme}.png`) });
          await page.evaluate(axe);
          const found = await page.evaluate(() => window.axe.run(document));
          assert.deepEqual(found.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target).join(" ")}`), []);
          assert.deepEqual(page.complaints, []);
        });

  for (const [name, options] of [
    ["phone-light", { ...phone, colorScheme: "light" }], ["phone-dark", { ...phone, colorScheme: "dark" }],
    ["desk-light", { ...desk, colorScheme: "light" }], ["desk-dark", { ...desk, colorScheme: "dark" }],
    ["small-phone", { ...phone, viewport: { width: 320, height: 640 } }],
  ]) {
    test(`fits, is accessible and is photographed: ${name}`, async () => {
      page = await open(browser, server, options);
      for (const id of ["north", "south"]) await vessel(page, id).getByRole("button", { name: "Batch" }).click();
      await seeAll(page);
      await page.screenshot({ path: join(output, `${name}.png`) });
      await page.screenshot({ path: join(output, `${name}-whole.png`), fullPage: true });
      const { width, needed, paper } = await page.evaluate(() => ({
        width: document.documentElement.clientWidth, needed: document.documentElement.scrollWidth,
        paper: getComputedStyle(document.body).backgroundColor }));
      assert.ok(needed <= width, `scrolls sideways: ${needed} > ${width}`);
      const brightness = paper.match(/\d+/g).map(Number).reduce((a, b) => a + b) / 3;
      assert.equal(brightness < 60, options.colorScheme === "dark", paper);

      await allowChanges(page);
      await page.evaluate(axe);
      const found = await page.evaluate(() => window.axe.run(document));
      assert.deepEqual(found.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target).join(" ")}`), []);
      assert.deepEqual(page.complaints, []);
    });
  }
});
