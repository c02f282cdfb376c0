/** The acts of the demo, each a thing that one of the readers of a test does. */
import { canonicalJson } from '@liftledger/ledger'
import { InvalidRequestError, type Liftledger } from '@liftledger/sdk'
import { precheck, type Sheet } from '@liftledger/sdk/precheck'
import { accent, act, bad, bar, bold, brief, dim, figure, good, paragraph, say, warn } from './screen.ts'
import type { Basin } from './seed.ts'
import { drawTrace } from './tree.ts'

type Test = Awaited<ReturnType<Liftledger['tests']['submit']>>

/** Order in which a grower reads; the rest is in the answer of the service. */
const HEADLINES: readonly (readonly [quantity: string, words: string])[] = [
  ['overall-plant-efficiency', 'Overall plant efficiency'],
  ['energy-per-volume', 'Energy for a unit of water'],
  ['cost-per-volume', 'Cost of that energy'],
  ['flow', 'Flow'],
  ['total-dynamic-head', 'Total dynamic head'],
  ['lift', 'Lift'],
  ['input-power', 'Input power'],
  ['water-power', 'Water power'],
  ['drawdown', 'Drawdown'],
  ['specific-capacity', 'Specific capacity'],
]

/** Submits through the SDK, then again with the same key as a lost answer would make the firm's software do. */
export async function submitting(client: Liftledger, sheet: string): Promise<Test> {
  act('A field sheet goes in')
  const key = crypto.randomUUID()
  const started = performance.now()
  const { data: test } = await client.tests.submit(sheet, { idempotencyKey: key }).withResponse()
  const took = performance.now() - started
  const again = await client.tests.submit(sheet, { idempotencyKey: key }).withResponse()
  say(`  plant ${bold(test.plant)}, tested ${test.testedOn} by ${test.tester}, method edition ${test.edition}`)
  say(`  stored as ${accent(test.id)}`)
  say(`  index ${test.ledgerIndex} in the ledger, answered with everything below in ${figure(took, 0)} ms`)
  say(
    `  sent again with the same key: ${again.replayed && again.data.id === test.id ? good('the same test, stored once') : bad('another test')}`,
  )
  return test
}

export function showResults(test: Test): void {
  act('What the plant does')
  say(dim(`  ${''.padEnd(30)}${'value'.padStart(12)}   ± 95 %`))
  for (const [quantity, words] of HEADLINES) {
    const result = test.results.find((one) => one.quantity === quantity)
    if (result === undefined) {
      const withheld = test.withheld.find((one) => one.quantity === quantity)
      if (withheld !== undefined) say(`  ${words.padEnd(30)}${dim(`not reported: ${withheld.because}`)}`)
      continue
    }
    const { value, unit, expandedUncertainty, decimals } = result.shown
    const line = `${words.padEnd(30)}${figure(value, decimals).padStart(12)} ± ${figure(expandedUncertainty, decimals).padEnd(7)}${unit}`
    say(`  ${quantity === 'overall-plant-efficiency' ? bold(line) : line}`)
  }
}

export function showFindings(test: Test): void {
  act('Is each reading believable?')
  const words = {
    sound: good('sound'),
    'in-question': warn('in question'),
    unsound: bad('unsound'),
    superseded: warn('superseded'),
    withdrawn: bad('withdrawn'),
  }
  say(
    `  The record is ${bold(words[test.soundness])}: ${test.findings.length === 0 ? 'no reading is in doubt.' : 'this was found.'}`,
  )
  const colour = { reject: bad, hold: warn, caution: accent, note: dim }
  for (const finding of test.findings) {
    say()
    say(`  ${colour[finding.severity](finding.severity.toUpperCase())}  ${finding.id}  ${dim(finding.place)}`)
    say(paragraph(finding.message, 4))
    say(dim(paragraph(finding.remedy, 4)))
  }
}

export function showAdvice(test: Test): void {
  const advice = test.advice.filter(({ run }) => run === test.advice[0]?.run)
  const first = advice[0]
  if (first === undefined) return
  act('What to re-measure first')
  say(`  The efficiency is known to ± ${brief(first.relativeUncertaintyNow * 100, 3)} % of itself. That comes from:`)
  say()
  const does = {
    repeat: 'read again',
    certify: 'have the instrument calibrated',
    'better-instrument': 'a better instrument',
    measure: 'measure it',
  }
  for (const source of advice.slice(0, 6)) {
    const share = `${figure(source.shareOfVariance * 100, 0).padStart(3)} %`
    const halved = `half as uncertain, the whole would be ± ${brief(source.relativeUncertaintyIfHalved * 100, 3)} %`
    say(`  ${share} ${accent(bar(source.shareOfVariance, 20).padEnd(20))} ${source.label}`)
    say(
      dim(
        `        ${source.needsQualifiedStaff ? 'for qualified staff only; timing the utility meter from outside comes first' : does[source.action]} · ${source.place} · ${halved}`,
      ),
    )
  }
}

export async function showTrace(client: Liftledger, test: Test): Promise<void> {
  const result = test.results.find(({ quantity }) => quantity === 'overall-plant-efficiency')
  if (result === undefined) return
  act(`Why ${figure(result.shown.value, result.shown.decimals)} %: down to the readings`)
  const trace = await client.tests.trace(test.id, 'overall-plant-efficiency')
  drawTrace(trace, 'efficiency')
  say()
  say(dim('  Each formula has its published source and each cause of uncertainty its share in the answer:'))
  say(dim(`  GET ${test.links.trace.replace('{quantity}', 'overall-plant-efficiency')}`))
}

export function showHandCheck(test: Test): void {
  const check = test.handChecks[0]
  if (check === undefined) return
  act('The same by calculator')
  for (const { label, expression, value, unit } of check.steps)
    say(`  ${label.padEnd(26)}${dim(expression.padEnd(36))}= ${brief(value)}${unit === '1' ? '' : ` ${unit}`}`)
}

/** The pump house has no signal: the same figures from the same package, without the service. */
export async function prechecking(client: Liftledger, sheet: Sheet, test: Test): Promise<void> {
  act('In the pump house, without signal')
  const context = await client.context.get({
    plant: sheet.plant,
    tester: sheet.tester,
    testedOn: sheet.testedOn,
    ...(sheet.instruments && { instruments: [...new Set(Object.values(sheet.instruments))].join(',') }),
  })
  const offline = precheck(sheet, context)
  const same = canonicalJson(offline.results) === canonicalJson(test.results)
  if (!same) process.exitCode = 1
  say(
    `  ${offline.results.length} results by the SDK alone: ${same ? good('the same to the last bit') : bad('they differ')}`,
  )
}

/** A wrong unit, as the firm's software would show it. */
export async function mistaking(client: Liftledger, sheet: Sheet): Promise<void> {
  act('A slip of the pen')
  const wrong = structuredClone(sheet) as unknown as { runs: { dischargePressure?: { reading: { unit: string } } }[] }
  const reading = wrong.runs[0]?.dischargePressure?.reading
  if (reading === undefined) return
  reading.unit = 'PSI'
  try {
    await client.tests.submit(wrong as never)
  } catch (error) {
    if (!(error instanceof InvalidRequestError)) throw error
    for (const { pointer, message } of error.errors) say(`  ${accent(pointer ?? '')}  ${message}`)
    say(dim('  Nothing was stored.'))
  }
}

export function lookAround(url: string, basin: Basin, test: Test, logKey: string, once: boolean): void {
  act('Look around')
  if (once) say(dim('  All of this is gone with the demo; without --once it stays up to be tried.'))
  const [first, second] = basin.firms
  say(`  service    ${accent(url)}`)
  say(`  API        ${accent(`${url}/openapi.json`)}`)
  say(`  this test  ${accent(`${url}${test.links.self}`)}`)
  say(`  report     ${accent(`${url}${test.links.self}/report`)}`)
  say(`  statistics ${accent(`${url}/v1/statistics/charts/histogram`)}`)
  say(`  checkpoint ${accent(`${url}/v1/ledger/checkpoint`)}`)
  say()
  say(`  key of ${first!.name}`)
  say(`    ${first!.key}`)
  say(`  key of ${second!.name}, who see none of the tests above`)
  say(`    ${second!.key}`)
  say('  key of an auditor, who reads all tests and writes nothing')
  say(`    ${basin.auditorKey}`)
  say('  key of the program, which was given one of the earlier tests, and of an administrator of keys and firms')
  say(`    ${basin.programs[0]!.key}`)
  say(`    ${basin.adminKey}`)
  say()
  say(dim('  Take the file home and verify it; the key of the log stands at /v1/ledger/keys:'))
  say(`    curl -s ${url}${test.links.bundle} -H "Authorization: Bearer ${basin.auditorKey}" -o test.bundle`)
  say(`    npx liftledger verify test.bundle --key '${logKey}'`)
  say()
  say(dim('  Raise the gauge by 5 psi and evaluate, nothing stored:'))
  say(`    export LIFTLEDGER=${url} KEY=${first!.key}`)
  say(
    `    sed 's/41.5/46.5/' seed/field-sheet.json | curl -s "$LIFTLEDGER/v1/evaluations?trace=overall-plant-efficiency" \\`,
  )
  say(`      -H "Authorization: Bearer $KEY" -H 'Content-Type: application/json' --data-binary @- | head -c 2000`)
}
