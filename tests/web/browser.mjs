// Debian's Chromium, driven by playwright-core from where the page was built (PAGE_STAGE).

import { createRequire } from 'node:module';
import { join } from 'node:path';

export async function launch(stage) {
  const { chromium } = createRequire(join(stage, 'package.json'))('playwright-core');
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    headless: true,
    args: [
      '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
      '--disable-background-networking', '--disable-component-update', '--disable-sync',
    ],
  });
}

// A page that keeps every complaint of the browser in `page.complaints`.
export async function openPage(browser, url, { width, height, scheme = 'light' }) {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme: scheme, reducedMotion: 'reduce' });
  const page = await context.newPage();
  page.complaints = [];
  page.on('console', (message) => {
    if (['error', 'warning'].includes(message.type())) page.complaints.push(message.text());
  });
  page.on('pageerror', (error) => page.complaints.push(String(error)));
  await page.goto(url);
  await page.locator('.link.live').waitFor();
  await page.locator('#emitter-table tr[data-key]').first().waitFor();
  return page;
}

// Until the map stands still: the same picture three times, a fifth of a second apart.
export async function mapSettled(page) {
  const picture = () =>
    page.evaluate(() => [...document.querySelectorAll('#map canvas')].map((c) => c.toDataURL()).join());
  let last = '';
  for (let same = 0; same < 2; ) {
    await page.waitForTimeout(200);
    const now = await picture();
    same = now === last && now.length > 5000 ? same + 1 : 0;
    last = now;
  }
}
