/**
 * The third part of the play: a gauge was misread, a program decides on what it holds up, the firm corrects the sheet,
 * and takes back a test that was practice.
 */
import { readFileSync } from 'node:fs'
import type { Json, Recorder } from './recorder.ts'

type Made = Json & { readonly id: string }
type Run = Json & { readonly dischargePressure: Json & { readonly reading: Json } }

const sheet = JSON.parse(readFileSync(new URL('../seed/field-sheet.json', import.meta.url), 'utf8')) as Json & {
  readonly runs: readonly [Run, ...Run[]]
}

/** The sheet of the visit with another reading of the gauge. */
function withPressure(value: number): Json {
  const [run, ...others] = sheet.runs
  const { dischargePressure } = run
  const reading = { ...dischargePressure.reading, value }
  return { ...sheet, runs: [{ ...run, dischargePressure: { ...dischargePressure, reading } }, ...others] }
}

/**
 * `admin` and `firm` are the keys of an administrator and of the firm that tests; `compare` compares what waits with the
 * record.
 */
export async function playVersions(
  recorder: Recorder,
  admin: string,
  firm: string,
  compare: () => Promise<void>,
): Promise<void> {
  const { body: programs } = await recorder.play<{ items: Made[] }>('programs.list', 200, { key: admin })
  const programId = programs.items[0]!.id
  const { body: program } = await recorder.play<Made & { key: string }>('keys.create', 201, {
    key: admin,
    body: { role: 'program', programId, name: 'Reading room of the program' },
  })
  const submit = async (body: Json) => (await recorder.play<Made>('tests.submit', 201, { key: firm, body })).body.id
  const first = { testId: await submit(withPressure(-3)) }
  const consent = { givenAt: '2026-05-12T09:30:00-07:00', by: 'grower', evidence: 'CONS-18' }
  await recorder.play('tests.giveToProgram', 201, { key: firm, path: first, body: { programId, consent } })
  await decisions(recorder, program.key, first)

  const { body: revised } = await recorder.play<Made>('tests.revise', 201, {
    key: firm,
    path: first,
    query: { reason: 'misread' },
    headers: { 'idempotency-key': '"01932c6e-7b1d-7c1e-9a55-0d6c1c2f7f11"' },
    body: withPressure(41.5),
  })
  const path = { testId: revised.id }
  await recorder.play('tests.versions', 200, { key: program.key, path })
  await recorder.play('tests.difference', 200, { key: firm, path, query: { from: first.testId } })
  await recorder.play('tests.replay', 200, { key: firm, path, query: { edition: String(revised.edition) } })
  await recorder.play('tests.revise', 409, { key: firm, path: first, query: { reason: 'misread' }, body: sheet })

  const practice = { testId: await submit(sheet) }
  await compare()
  await recorder.play('tests.recordFindings', 200, { key: firm, path: practice })
  await recorder.play('tests.withdraw', 201, { key: firm, path: practice, body: { reason: 'practice' } })
}

async function decisions(recorder: Recorder, key: string, path: { readonly testId: string }): Promise<void> {
  const body = {
    finding: 'discharge-pressure-negative',
    run: 0,
    place: '/runs/0/dischargePressure/reading',
    outcome: 'stands',
    reader: 'R-07',
    reason: 'The photograph of the gauge shows the needle well above zero; the sheet has another figure.',
  }
  const { body: made } = await recorder.play<Made>('decisions.create', 201, { key, path, body })
  await recorder.play('decisions.list', 200, { key, path })
  await recorder.play('decisions.eraseWords', 200, { key, path: { ...path, decisionId: made.id } })
}
