/**
 * Pictures of the report of each golden sheet, to look at: as a phone shows it, light and dark, and as paper has it.
 * `node tests/pages/look.ts FOLDER [SHEET…]`
 */
import { mkdir, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { goldenCases } from '@liftledger/calc/testing'
import { chromium } from 'playwright-core'
import { reportPage } from '../../packages/service/src/reports/page.ts'
import { reportOf } from '../../packages/service/src/reports/report.ts'
import { readTestOf } from '../../packages/service/src/reports/testing.ts'
import { executablePath, PHONE } from './browser.ts'

const [folder, ...ids] = process.argv.slice(2)
if (folder === undefined || executablePath === undefined)
  throw new Error('Say `node tests/pages/look.ts FOLDER`; CHROMIUM_PATH names the browser.')
await mkdir(folder, { recursive: true })
const browser = await chromium.launch({ executablePath, args: ['--no-sandbox'] })
for (const golden of goldenCases().filter(({ id }) => ids.length === 0 || ids.includes(id))) {
  const html = reportPage(reportOf(readTestOf(golden)))
  for (const colorScheme of ['light', 'dark'] as const) {
    const page = await browser.newPage({ viewport: PHONE, colorScheme })
    await page.setContent(html)
    await writeFile(join(folder, `${golden.id}-${colorScheme}.png`), await page.screenshot({ fullPage: true }))
    if (colorScheme === 'light')
      for (const format of ['A4', 'Letter'] as const)
        await writeFile(
          join(folder, `${golden.id}-${format}.pdf`),
          await page.pdf({ format, preferCSSPageSize: false }),
        )
    await page.close()
  }
}
await browser.close()
