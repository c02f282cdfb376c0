/** Pages as a phone shows them: nothing runs off the screen, and what a stranger wrote stays a text. */
import { catalogue } from '@liftledger/calc'
import { goldenCases } from '@liftledger/calc/testing'
import { type Browser, chromium, type Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { quantityPage } from '../../packages/service/src/method/page.ts'
import { reportPage } from '../../packages/service/src/reports/page.ts'
import { type Report, reportOf } from '../../packages/service/src/reports/report.ts'
import { readTestOf } from '../../packages/service/src/reports/testing.ts'
import { executablePath, PHONE } from './browser.ts'

/** Markup, both quotes, an entity, a change of direction that isn't ended, and a word longer than any screen. */
const HOSTILES = [
  `<script>document.title='struck'</script>`,
  `<img src=x onerror="document.title='struck'">'"</td></table>`,
  '&lt;b&gt;&amp;',
  '\u202egnirts a \u2067thgir ot tfel',
  'w'.repeat(400),
  `${'long-'.repeat(80)}code`,
]

/** Every text of the report made hostile; where a link leads is the service's own. */
const spoiled = (report: Report, hostile: string): Report =>
  JSON.parse(
    JSON.stringify(report, (name, member) =>
      typeof member === 'string' && name !== 'place' && name !== 'explained' ? hostile : member,
    ),
  ) as Report

describe.skipIf(executablePath === undefined)('in Chromium (CHROMIUM_PATH; skipped where there is none)', () => {
  let browser: Browser
  let page: Page
  beforeAll(async () => {
    browser = await chromium.launch({ executablePath: executablePath!, args: ['--no-sandbox'] })
    page = await browser.newPage({ viewport: PHONE })
  })
  afterAll(() => browser?.close())

  const widthOf = async (html: string): Promise<number> => {
    await page.setContent(html)
    return page.evaluate('document.documentElement.scrollWidth')
  }

  test.each(goldenCases().map((golden) => [golden.id, golden] as const))('the report of %s fits', async (_, golden) => {
    expect(await widthOf(reportPage(reportOf(readTestOf(golden))))).toBe(PHONE.width)
  })

  test.each(catalogue.quantities.map(({ id }) => [id]))('the page of %s fits', async (id) => {
    expect(await widthOf(quantityPage(id)!)).toBe(PHONE.width)
  })

  test.each(HOSTILES.map((hostile) => [hostile.slice(0, 30), hostile]))(
    'with %s in every field shows it as a text, and fits',
    async (_, hostile) => {
      const report = reportOf(readTestOf(goldenCases().find(({ id }) => id === 'FAULT-02')!))
      expect(await widthOf(reportPage(spoiled(report, hostile)))).toBe(PHONE.width)
      expect(await page.locator('script, img, b').count()).toBe(0)
      expect(await page.title()).toBe(hostile)
      for (const place of ['h1', 'dd', '.answer p', 'h2 + table td', 'h3', 'li', '.pairs td'])
        expect(await page.locator(place).first().textContent(), place).toContain(hostile)
    },
  )

  test('a text that turns the direction of writing turns it nowhere else', async () => {
    const report = reportOf(readTestOf(goldenCases()[0]!))
    await page.setContent(
      reportPage({
        ...report,
        facts: [
          ['Tester', '\u202eabc'],
          ['Region', 'Upper'],
        ],
      }),
    )
    const [first, second] = await page.locator('dd').all()
    expect(await first!.evaluate((element) => getComputedStyle(element as never).unicodeBidi)).toBe('isolate')
    expect(await second!.textContent()).toBe('Upper')
  })
})
