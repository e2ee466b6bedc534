// node screenshots.mjs URL OUTDIR: the view "Now" at 390 and 1440 px, light and dark, once with
// the first emitter selected. PAGE_STAGE names the folder in which the page was built.

import { mkdirSync } from 'node:fs';
import { join } from 'node:path';

import { launch, mapSettled, openPage } from './browser.mjs';

const SIZES = [
  { width: 390, height: 844 },
  { width: 1440, height: 900 },
];

export async function takeScreenshots(browser, url, folder) {
  mkdirSync(folder, { recursive: true });
  const files = [];
  for (const size of SIZES) {
    for (const scheme of ['light', 'dark']) {
      const page = await openPage(browser, url, { ...size, scheme });
      for (const what of ['now', 'selected']) {
        if (what === 'selected') {
          await page.locator('#emitter-table tr[data-key] button').first().click();
          await page.locator('#detail .sentence').waitFor();
        }
        await mapSettled(page);
        const path = join(folder, `${what}-${size.width}-${scheme}.png`);
        await page.screenshot({ path, fullPage: size.width < 900 });
        files.push(path);
      }
      await page.context().close();
    }
  }
  return files;
}

if (process.argv[1] === new URL(import.meta.url).pathname) {
  const [url, folder] = process.argv.slice(2);
  const stage = process.env.PAGE_STAGE;
  if (!url || !folder || !stage) {
    console.error('usage: PAGE_STAGE=BUILD/page node screenshots.mjs URL OUTDIR');
    process.exit(2);
  }
  const browser = await launch(stage);
  try {
    for (const file of await takeScreenshots(browser, url, folder)) console.log(file);
  } finally {
    await browser.close();
  }
}
