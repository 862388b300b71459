// The page server as a child process, and a browser that looks at it.
import { spawn } from "node:child_process";
import { createInterface } from "node:readline";
import { chromium } from "playwright-core";

export const token = "a-long-and-secret-word";
export const phone = { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true };
export const desk = { viewport: { width: 1280, height: 800 } };

/** The server with the invented cellar; `tell` returns when it has done what it was told. */
export class PageServer {
  static async start(program, port = 0) {
    const server = new PageServer();
    server.child = spawn(program, [String(port)], { stdio: ["pipe", "pipe", "inherit"] });
    server.lines = createInterface({ input: server.child.stdout })[Symbol.asyncIterator]();
    server.port = Number((await server.lines.next()).value);
    server.url = `http://127.0.0.1:${server.port}`;
    return server;
  }

  async tell(order) {
    this.child.stdin.write(`${order}\n`);
    if ((await this.lines.next()).value !== "done") throw new Error(`the server did not do: ${order}`);
  }

  async read(target) {
    return (await fetch(this.url + target)).json();
  }

  async stop() {
    const ended = new Promise((resolve) => this.child.once("exit", resolve));
    this.child.stdin.end();
    await ended;
  }
}

export const launch = () => chromium.launch({
  executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
  args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});

/** An open page whose complaints are collected in `complaints`. */
export async function open(browser, server, options = phone) {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  page.complaints = [];
  page.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warning") page.complaints.push(message.text());
  });
  page.on("pageerror", (error) => page.complaints.push(error.message));
  await page.goto(server.url);
  if (options.javaScriptEnabled !== false) {
    await page.waitForSelector(".vessel .sentence");
    await page.waitForFunction(() => !document.getElementById("watch").hidden && document.documentElement.dataset.stream === "open");
  }
  return page;
}

/** Scrolls through the page until every plot is drawn, and back. */
export async function seeAll(page) {
  for (const plot of await page.locator(".plot:visible").all()) {
    await plot.scrollIntoViewIfNeeded();
    await plot.locator("xpath=..").locator(".readout", { hasText: /\d/ }).waitFor();
  }
  await page.evaluate(() => window.scrollTo(0, 0));
}

export const vessel = (page, id) => page.locator(`#vessel-${id}`);
/** The alarms of the vessel with this name, among all that stand. */
export const alarms = (page, name) => page.locator(".alarm").filter({ has: page.locator(".kind", { hasText: `, ${name},` }) });
export const number = (page, id, label) =>
  vessel(page, id).locator(".number").filter({ has: page.getByText(label, { exact: true }) });

export async function allowChanges(page, word = token) {
  await page.fill("#token", word);
  await page.click("#token-form button");
}
