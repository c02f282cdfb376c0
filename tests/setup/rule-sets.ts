/** Offices of programs in tests: people with keys of their own, and rule sets that they draft, try and publish. */
import { readFileSync } from 'node:fs'
import { setTimeout as sleep } from 'node:timers/promises'
import type { TestService } from './service.ts'

/** Rules of the invented basin. */
export const rulesOf = (name: 'ambermoor-1' | 'ambermoor-2' | 'sedgewater-1'): Record<string, unknown> =>
  JSON.parse(readFileSync(new URL(`../../seed/rule-sets/${name}.json`, import.meta.url), 'utf8')) as Record<
    string,
    unknown
  >

/** A key of somebody in the office of a program; of nobody in particular without `holder`. */
export async function officeKey(service: TestService, programId: string, holder?: string): Promise<string> {
  const body = { role: 'program', programId, name: 'office of a test', ...(holder !== undefined && { holder }) }
  return (await service.call<{ key: string }>('admin', 'POST /v1/keys', { body })).body.key
}

/** Asks with a key rather than as a caller. */
export async function asKey<B = Record<string, unknown>>(
  service: TestService,
  key: string,
  route: `${string} ${string}`,
  body?: object,
  headers: Readonly<Record<string, string>> = {},
) {
  const call = { headers: { authorization: `Bearer ${key}`, ...headers }, ...(body !== undefined && { body }) }
  return service.call<B>('nobody', route, call)
}

/** Has a draft judge the program’s tests, and waits for the end. Answers the id of the dry run. */
export async function tryRules(
  service: TestService,
  key: string,
  ruleSetId: string,
  timeoutMs = 10_000,
): Promise<string> {
  const { status, body } = await asKey<{ id: string }>(service, key, `POST /v1/rule-sets/${ruleSetId}/dry-runs`)
  if (status !== 202) throw new Error(`The dry run answered ${status}: ${JSON.stringify(body)}`)
  for (const end = performance.now() + timeoutMs; performance.now() < end; ) {
    const run = await asKey<{ state: string }>(service, key, `GET /v1/dry-runs/${body.id}`)
    if (run.body.state === 'finished') return body.id
    if (run.body.state === 'failed') throw new Error(`The dry run failed: ${JSON.stringify(run.body)}`)
    await sleep(25)
  }
  throw new Error(`Dry run ${body.id} did not end.`)
}

/** Drafts rules and has them tried; answers the ids. */
export async function draftRules(service: TestService, key: string, rules: object) {
  const { status, body } = await asKey<{ id: string }>(service, key, 'POST /v1/rule-sets', rules)
  if (status !== 201) throw new Error(`The draft answered ${status}: ${JSON.stringify(body)}`)
  return { ruleSetId: body.id, dryRunId: await tryRules(service, key, body.id) }
}
