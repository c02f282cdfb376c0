/** The auditor's act: one file, verified without the service; and a copy of it in which one reading was mended. */
import type { Liftledger } from '@liftledger/sdk'
import { type BundleReport, verifyBundle } from '@liftledger/sdk/verify'
import { accent, act, bad, bold, dim, figure, good, paragraph, say } from './screen.ts'

interface AuditedTest {
  readonly id: string
  readonly links: { readonly bundle: string }
}

/** Answers the key of the log, as published; a real auditor has it from somewhere else than the file. */
export async function auditing(auditor: Liftledger, test: AuditedTest): Promise<string> {
  act('An auditor takes one file home')
  const { items } = await auditor.ledger.keys()
  const logKey = items.at(-1)!.key
  const { bytes } = await auditor.ledger.bundle(test.id).withResponse()
  const started = performance.now()
  const report = await verifyBundle(bytes, { keys: [logKey] })
  const took = performance.now() - started
  say(dim(`  ${figure(bytes.length, 0)} bytes from GET ${test.links.bundle}; from here on no network:`))
  tellSteps(report)
  say(`  ${report.ok ? good(bold('verified')) : bad('not verified')} in ${figure(took, 0)} ms`)
  const tampered = withOtherDigit(bytes)
  if (tampered === undefined) return logKey
  say()
  say(`  In a copy, ${accent(tampered.from)} becomes ${accent(tampered.to)}, in the sheet and nowhere else:`)
  const found = await verifyBundle(tampered.bytes, { keys: [logKey] })
  for (const { code, line, message } of found.problems) {
    say(`  ${bad(code)}  ${dim(`line ${line ?? 0}`)}`)
    say(paragraph(message, 4))
  }
  return logKey
}

function tellSteps({ checkpoint, tests, counts, problems }: BundleReport): void {
  const [tested] = tests
  if (checkpoint === undefined || tested === undefined) {
    for (const { message } of problems) say(bad(paragraph(message)))
    return
  }
  const signers = checkpoint.signatures.filter(({ by }) => by !== 'unknown').map(({ name }) => name)
  const failed = new Set<string>(problems.map(({ code }) => code))
  const step = (ok: boolean, words: string): void => say(`  ${ok ? good('✓') : bad('✗')} ${words}`)
  step(signers.length > 0, `signed by ${signers.join(', ')}`)
  step(
    !failed.has('inclusion-wrong'),
    `entry ${tested.index} of the ${checkpoint.size} in the log, root ${dim(short(checkpoint.root))}`,
  )
  step(!failed.has('raw-changed'), `the sheet is the one received at ${tested.at.slice(11, 19)} UTC, byte for byte`)
  step(!failed.has('context-changed'), 'certificates, equipment and qualification are those it was evaluated with')
  step(counts.identical === counts.tests, `evaluated again under edition ${tested.edition}: the same to the last bit`)
}

const short = (hash: string): string => `${hash.slice(0, 8)}…${hash.slice(-8)}`

/** The bundle with another last digit of the first pumping level; undefined where there is none. */
function withOtherDigit(bytes: Uint8Array): { bytes: Uint8Array; from: string; to: string } | undefined {
  // One character a byte, so that places in the text are places in the file.
  const text = Buffer.from(bytes).toString('latin1')
  const level = /"pumpingLevel"[^}]*?"value":\s*([0-9.]*[0-9])/.exec(text)
  if (level === null) return undefined
  const from = level[1]!
  const to = `${from.slice(0, -1)}${(Number(from.at(-1)) + 1) % 10}`
  const copy = Uint8Array.from(bytes)
  copy[level.index + level[0].length - 1] = to.charCodeAt(to.length - 1)
  return { bytes: copy, from: `pumping level ${from}`, to }
}
