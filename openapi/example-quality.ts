/**
 * The play goes on: the office of the program announces a draw of quality visits, a second person draws it, another firm
 * tests the plant again, and both tests are held side by side.
 */
import { readFileSync } from 'node:fs'
import type { Json, Recorder } from './recorder.ts'

type Made = Json & { readonly id: string }
type Keyed = Made & { readonly key: string }
type Listed = { readonly items: readonly Made[] }

const read = <T>(file: string): T => JSON.parse(readFileSync(new URL(`../seed/${file}`, import.meta.url), 'utf8')) as T
type Run = Json & { readonly dischargePressure: Json & { readonly reading: Json } }
const first = read<Json & { readonly runs: readonly [Run, ...Run[]] }>('field-sheet.json')

/** The same plant on another day, by another gauge. */
function testedAgain(): Json {
  const [run, ...others] = first.runs
  const { dischargePressure } = run
  const reading = { ...dischargePressure.reading, value: 44.5 }
  return { ...first, runs: [{ ...run, dischargePressure: { ...dischargePressure, reading } }, ...others] }
}

const basin = read<{ readonly firms: readonly { readonly [kind in 'testers' | 'instruments']: readonly Json[] }[] }>(
  'basin.json',
)

const CONSENT = { givenAt: '2026-05-12T09:30:00-07:00', by: 'grower', evidence: 'CONS-21' }
const TERMS = {
  testedFrom: '2026-05-01',
  testedUntil: '2026-05-31',
  shareAtRandom: 1,
  shareByWeight: 0.1,
  daysToTest: 45,
}

/** `admin` and `firm` are the keys of an administrator and of the firm that tested first. */
export async function playQuality(recorder: Recorder, admin: string, firm: string): Promise<void> {
  const list = async (operationId: string, key: string): Promise<readonly Made[]> =>
    (await recorder.play<Listed>(operationId, 200, { key })).body.items
  const [program] = await list('programs.list', admin)
  const neighbour = (await list('firms.list', admin))[1]!
  const [plant] = await list('plants.list', firm)
  const keyOf = async (grant: Json): Promise<string> =>
    (await recorder.play<Keyed>('keys.create', 201, { key: admin, body: grant })).body.key
  const office = (holder: string) =>
    keyOf({ role: 'program', programId: program!.id, name: 'Office of the program', holder })
  const [announcer, drawer] = [await office('P-14'), await office('P-22')]
  const again = await keyOf({ role: 'firm', firmId: neighbour.id, name: 'Tablet of the neighbour' })
  await recorder.play('plants.grantAccess', 201, {
    key: admin,
    path: { plantId: plant!.id },
    body: { firmId: neighbour.id },
  })
  await register(recorder, again)
  const drawId = await draw(recorder, announcer, drawer)
  const { body: visits } = await recorder.play<Listed>('qualityVisits.list', 200, { key: drawer, path: { drawId } })
  const path = { visitId: visits.items[0]!.id }
  const step = (status: number, body: Json) =>
    recorder.play('qualityVisits.addStep', status, { key: drawer, path, body })
  await step(201, { step: 'assigned', firmId: neighbour.id })
  await recorder.play('qualityAssignments.list', 200, { key: again })
  const { body: retest } = await recorder.play<Made>('tests.submit', 201, { key: again, body: testedAgain() })
  await recorder.play('tests.giveToProgram', 201, {
    key: again,
    path: { testId: retest.id },
    body: { programId: program!.id, consent: CONSENT },
  })
  await step(201, { step: 'tested-again', testId: retest.id })
  await step(409, { step: 'taken-back' })
  await recorder.play('qualityVisits.get', 200, { key: drawer, path })
  await recorder.play('statistics.readTesters', 200, { key: drawer })
  await recorder.play('statistics.drawTesters', 200, { key: drawer })
}

/** People and instruments of the firm that tests again. */
async function register(recorder: Recorder, key: string): Promise<void> {
  const { testers, instruments } = basin.firms[0]!
  for (const body of testers) await recorder.play('testers.create', 201, { key, body })
  for (const body of instruments) await recorder.play('instruments.create', 201, { key, body })
}

async function draw(recorder: Recorder, announcer: string, drawer: string): Promise<string> {
  const { body: announced } = await recorder.play<Made>('qualityDraws.announce', 201, { key: announcer, body: TERMS })
  const path = { drawId: announced.id }
  await recorder.play('qualityDraws.draw', 409, { key: announcer, path })
  await recorder.play('qualityDraws.draw', 201, { key: drawer, path })
  await recorder.play('qualityDraws.get', 200, { key: drawer, path })
  await recorder.play('qualityDraws.list', 200, { key: drawer })
  return announced.id
}
