/**
 * The fourth part of the play: the office of a program drafts its rules, changes them, has them tried over the tests it
 * has, and a second person publishes them.
 */
import { readFileSync } from 'node:fs'
import type { Json, Recorder } from './recorder.ts'

type Made = Json & { readonly id: string }
type Keyed = Made & { readonly key: string }

const rules = JSON.parse(readFileSync(new URL('../seed/rule-sets/ambermoor-2.json', import.meta.url), 'utf8')) as Json
/** The first version that the example program publishes. */
const FIRST = { ...rules, version: 1 }

/** `admin` is the key of an administrator. */
export async function playRules(recorder: Recorder, admin: string): Promise<void> {
  const { body: programs } = await recorder.play<{ items: Made[] }>('programs.list', 200, { key: admin })
  const programId = programs.items[0]!.id
  const keyOf = async (holder: string): Promise<string> => {
    const body = { role: 'program', programId, name: 'Office of the program', holder }
    return (await recorder.play<Keyed>('keys.create', 201, { key: admin, body })).body.key
  }
  const [author, publisher] = [await keyOf('P-14'), await keyOf('P-22')]
  const { body: draft } = await recorder.play<Made>('ruleSets.draft', 201, {
    key: author,
    body: { ...FIRST, pausedFrom: '2025-12-01' },
  })
  const path = { ruleSetId: draft.id }
  await recorder.play('ruleSets.check', 200, { key: author, path })
  const { headers } = await recorder.play('ruleSets.get', 200, { key: author, path })
  const match = (tag: string | undefined) => ({ 'if-match': tag! })
  await recorder.play('ruleSets.change', 200, { key: author, path, body: FIRST, headers: match(headers.etag) })
  const { body: run } = await recorder.play<Made>('dryRuns.create', 202, { key: author, path })
  const runPath = { dryRunId: run.id }
  await recorder.until('dryRuns.get', { key: author, path: runPath }, ({ state }) => state !== 'running')
  await recorder.play('dryRuns.get', 200, { key: author, path: runPath })
  await recorder.play('dryRuns.listChanges', 200, { key: author, path: runPath })
  const { headers: read } = await recorder.play('ruleSets.get', 200, { key: publisher, path })
  await recorder.play('ruleSets.publish', 409, { key: author, path, headers: match(read.etag) })
  await recorder.play('ruleSets.publish', 201, { key: publisher, path, headers: match(read.etag) })
  await recorder.play('ruleSets.list', 200, { key: author, query: { limit: 20 } })
  await recorder.play('programs.listRuleSets', 200, { path: { programId } })
  await recorder.play('programs.getRuleSet', 200, { path: { programId, version: '1' } })
  const { body: tests } = await recorder.play<{ items: Made[] }>('tests.list', 200, { key: publisher })
  await recorder.play('programs.judgeTest', 200, { key: publisher, path: { programId, testId: tests.items[0]!.id } })
}
