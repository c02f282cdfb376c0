/**
 * `verify.vs-hash`: a bundle verified offline, against only hashing its bytes; the calculation made again counts apart.
 */

import { createHash } from 'node:crypto'
import { evaluate, latestEdition, type Sheet } from '@liftledger/calc'
import { sounded } from '@liftledger/calc/testing'
import { canonicalBytes, type VerifierKey } from '@liftledger/ledger'
import { bundleOf, logSigner, type SampleTest, sampleLog } from '@liftledger/ledger/testing'
import { verifyBundle } from '@liftledger/sdk/verify'
import { context, sheet } from './example.ts'
import { alternate, type Figure, ratios, spreadOf, tell, whole } from './rounds.ts'

const TESTS = { whole: 10_000, quick: 1_000 } as const

/** A visit of its own for each number: other levels, other pressure, written as a person's software would write them. */
function sheetOf(n: number): Sheet {
  const own = structuredClone(sheet)
  const [run] = own.runs
  sounded(own.standingLevel).reading.value = 100 + (n % 997) / 50
  sounded(run!.pumpingLevel).reading.value = 125 + (n % 991) / 50
  run!.dischargePressure!.reading!.value = 40 + (n % 83) / 10
  return own
}

/** What the log holds of it: sheet as sent, context, and what the calculation made of both. */
function sampleOf(n: number): SampleTest {
  const own = sheetOf(n)
  return {
    raw: Buffer.from(JSON.stringify(own)),
    context: canonicalBytes(context),
    evaluation: canonicalBytes(evaluate(own, context, latestEdition)),
    edition: latestEdition.id,
  }
}

/** CPU time of this process, all its threads, in milliseconds: what others do meanwhile does not count. */
function cpuMs(): number {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1000
}

/** Milliseconds it takes; throws unless everything about the bundle is right, so that no shortcut is timed. */
async function verifyOnce(bundle: Uint8Array, keys: readonly VerifierKey[], replay: boolean): Promise<number> {
  const started = cpuMs()
  const { ok, problems, counts } = await verifyBundle(bundle, { keys, replay })
  const took = cpuMs() - started
  if (!ok || counts.identical !== (replay ? counts.tests : 0))
    throw new Error(`The bundle was not verified: ${problems[0]?.message ?? `${counts.identical} identical`}`)
  return took
}

function hashOnce(bundle: Uint8Array): Promise<number> {
  const started = cpuMs()
  createHash('sha256').update(bundle).digest()
  return Promise.resolve(cpuMs() - started)
}

/** Least of several: what is over in milliseconds is easily disturbed. */
async function leastOf(times: number, once: () => Promise<number>): Promise<number> {
  let least = Infinity
  for (let i = 0; i < times; i++) least = Math.min(least, await once())
  return least
}

export async function verifyAgainstHash(quick: boolean): Promise<Figure[]> {
  const count = quick ? TESTS.quick : TESTS.whole
  const log = sampleLog(
    Array.from({ length: count }, (_, n) => sampleOf(n)),
    { withNotes: false },
  )
  const bundle = bundleOf(log)
  const keys = [logSigner.key]
  const verify = () => leastOf(3, () => verifyOnce(bundle, keys, false))
  const hash = () => leastOf(3, () => hashOnce(bundle))
  const replay = () => verifyOnce(bundle, keys, true)
  await verify()
  const [verified, hashed] = await alternate([verify, hash])
  const [withReplay, without] = await alternate([replay, verify])
  const ratio = ratios(verified!, hashed!)
  const rate = spreadOf(withReplay!.map((ms, round) => count / ((ms - without![round]!) / 1000)))
  const figure = { id: 'verify.vs-hash', unit: '×', goal: 3, better: 'lower' } as const
  const replays = { id: 'verify.replay.per-second', unit: '1/s', goal: null, better: 'higher' } as const
  const all = { id: 'verify.with-replay', unit: 's', goal: null, better: 'lower' } as const
  const size = `${whole(count)} tests, ${(bundle.length / 1e6).toFixed(1)} MB`
  tell(figure, ratio, [
    `SDK’s verifyBundle without replay: signature, root of the log, each entry, sheet and context; ${size}`,
    `${spreadOf(verified!).median.toFixed(1)} ms of CPU time; SHA-256 of the same bytes in one call ${spreadOf(hashed!).median.toFixed(1)} ms`,
    ...(quick ? [`a small bundle, since this is a quick run; the goal is for ${whole(TESTS.whole)} tests`] : []),
  ])
  tell(replays, rate, [
    'sheets parsed, evaluated again and held against the recorded hash, for each second of CPU time',
  ])
  const seconds = spreadOf(withReplay!.map((ms) => ms / 1000))
  tell(all, seconds, [
    `the whole of it, replay of all ${whole(count)} tests included; each identical to the last bit; CPU time`,
  ])
  return [
    { ...figure, value: ratio.median },
    { ...replays, value: rate.median },
    { ...all, value: seconds.median },
  ]
}
