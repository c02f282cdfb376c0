/** The page that verifies bundles, in a browser whose network is off. */
import { existsSync } from 'node:fs'
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { evaluate, latestEdition } from '@liftledger/calc'
import { goldenCases } from '@liftledger/calc/testing'
import { canonicalBytes, formatVerifierKey } from '@liftledger/ledger'
import {
  bundleOf,
  logSigner,
  revisionOf,
  sampleLog,
  testId,
  withdrawalOf,
  witnessSigner,
} from '@liftledger/ledger/testing'
import { type Browser, chromium, type Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { buildPage } from '../packages/sdk/verify-page/build.ts'

const executablePath = [process.env.CHROMIUM_PATH, '/usr/bin/chromium'].find(
  (path) => path !== undefined && existsSync(path),
)

const log = sampleLog(
  goldenCases(latestEdition.id).map(({ sheet, context }) => ({
    raw: Buffer.from(JSON.stringify(sheet)),
    context: canonicalBytes(context),
    evaluation: canonicalBytes(evaluate(sheet, context, latestEdition)),
    edition: latestEdition.id,
  })),
)
const bundle = Buffer.from(bundleOf(log, { since: 4 }))
const keys = [logSigner, witnessSigner].map(({ key }) => formatVerifierKey(key)).join('\n')

test('the page holds all it needs, and a policy that lets nothing else in', async () => {
  const html = await buildPage()
  expect(html).toContain("default-src 'none'; script-src 'sha256-")
  expect(html.match(/<script/g)).toHaveLength(1)
  expect(html).not.toMatch(/<(link|img|iframe)|\bsrc=|@import|url\(/)
  expect(html).not.toMatch(/SCRIPT-HASH|STYLE-HASH/)
})

describe.skipIf(executablePath === undefined)('in Chromium (CHROMIUM_PATH; skipped where there is none)', () => {
  let folder: string
  let browser: Browser
  let page: Page
  const requests: string[] = []
  const complaints: string[] = []

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'verify-page-'))
    await writeFile(join(folder, 'verify.html'), await buildPage())
    browser = await chromium.launch({ executablePath: executablePath!, args: ['--no-sandbox'] })
    const context = await browser.newContext({ offline: true })
    page = await context.newPage()
    page.on('request', (request) => requests.push(request.url()))
    page.on('console', (message) => complaints.push(message.text()))
    page.on('pageerror', (error) => complaints.push(error.message))
    await page.goto(pathToFileURL(join(folder, 'verify.html')).href)
  })

  afterAll(async () => {
    await browser?.close()
    await rm(folder, { recursive: true })
  })

  async function verify(bytes: Buffer, withKeys = keys): Promise<string> {
    await page.setInputFiles('#file', { name: 'tests.bundle', mimeType: 'application/octet-stream', buffer: bytes })
    await page.fill('#keys', withKeys)
    await page.click('#verify')
    await page.waitForSelector('#report:not([hidden]), #mistake:not(:empty)')
    return (await page.locator('#report:not([hidden]), #mistake:not(:empty)').allInnerTexts()).join(' ')
  }

  test('an honest bundle is verified, each sheet evaluated again to the same bits', async () => {
    const text = await verify(bundle)
    expect(text).toContain('✓ Verified')
    expect(text).toContain('signed by the log, in the log, and as received; the same calculation')
    expect(text).toContain('by its findings')
    expect(text).toContain('/v1/ledger/entries?test=')
    expect(text).toContain(`${log.tests.length} of ${log.tests.length}, ${log.tests.length} identical`)
    expect(text).toContain('the log of 4 entries')
    expect(text).toContain(testId(0))
  })

  test('what became of a test stands with it and in the verdict', async () => {
    const samples = log.tests.slice(0, 2).map(({ raw, context }) => {
      const evaluation = new Uint8Array()
      return { raw, context, evaluation, edition: latestEdition.id }
    })
    const later = Buffer.from(bundleOf(sampleLog(samples, { became: [withdrawalOf(0), revisionOf(1, 5)] })))
    await page.evaluate(() => document.querySelector('details')?.setAttribute('open', ''))
    await page.uncheck('#replay')
    const text = await verify(later)
    await page.check('#replay')
    await page.evaluate(() => document.querySelector('details')?.removeAttribute('open'))
    expect(text).toContain('✓ Verified; 1 of 2 tests was withdrawn, 1 was superseded.')
    expect(text).toContain('withdrawn on 2026-06-10 08:00:00 UTC (sent-twice)')
    expect(text).toContain(`superseded by ${testId(5)}`)
  })

  test('a changed reading is refused with its test', async () => {
    const changed = bundle.toString().replace(/"value":(\d)/, (_, digit) => `"value":${(Number(digit) + 1) % 10}`)
    const text = await verify(Buffer.from(changed))
    expect(text).toContain('✗ Not verified: 1 problem.')
    expect(text).toContain('raw-changed · line ')
    expect(text).toContain(testId(0))
  })

  test('a forged signature and another key are refused', async () => {
    expect(
      await verify(Buffer.from(bundle.toString().replace(/\n(\d+)\n/, (_, size) => `\n${Number(size) - 1}\n`))),
    ).toContain('signature-wrong')
    expect(await verify(bundle, formatVerifierKey(witnessSigner.key))).toContain('log-signature-missing')
  })

  test('what is not a bundle, and a key that is none, are told', async () => {
    expect(await verify(Buffer.from('<script>alert(1)</script>'))).toContain('bundle-malformed · line 1')
    expect(await verify(bundle, 'nonsense')).toContain("'nonsense' is not a verifier key")
    expect(await verify(bundle, '')).toContain('Give the verifier key of the log')
  })

  test('it fits a phone: nothing is wider than the screen', async () => {
    await page.setViewportSize({ width: 360, height: 740 })
    await verify(bundle)
    const { wide, tall } = await page.evaluate(() => ({
      wide: document.documentElement.scrollWidth,
      tall: document.documentElement.scrollHeight,
    }))
    expect(wide).toBeLessThanOrEqual(360)
    expect(tall).toBeGreaterThan(740)
  })

  test('all of it by keyboard, each field with a name', async () => {
    const names = await page.evaluate(() =>
      [...document.querySelectorAll('input, textarea, button')].map(
        (field) => (field as HTMLInputElement).labels?.[0]?.textContent ?? field.textContent ?? '',
      ),
    )
    expect(names.every((name) => name !== '')).toBe(true)
    await page.focus('#keys')
    await page.keyboard.press('Tab')
    expect(await page.evaluate(() => document.activeElement?.tagName)).toBe('SUMMARY')
    await page.focus('#verify')
    await page.keyboard.press('Enter')
    await page.waitForFunction(() => document.activeElement?.id === 'report')
  })

  test('nothing was asked of a network, and the browser had nothing to complain of', () => {
    expect(requests.filter((url) => !url.startsWith('file:'))).toEqual([])
    expect(complaints).toEqual([])
  })
})
