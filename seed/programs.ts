/** The invented programs of the basin with their rules: drafted by one person, tried, published by another. */
import { readFileSync } from 'node:fs'
import { setTimeout as sleep } from 'node:timers/promises'
import { ApiError, Liftledger } from '@liftledger/sdk'

export type Rules = Exclude<Parameters<Liftledger['ruleSets']['draft']>[0], string | Uint8Array>
type DryRun = Awaited<ReturnType<Liftledger['dryRuns']['get']>>
export type Judgement = Awaited<ReturnType<Liftledger['programs']['judgeTest']>>

export const rulesIn = (file: string): Rules =>
  JSON.parse(readFileSync(new URL(`rule-sets/${file}.json`, import.meta.url), 'utf8')) as Rules

const PROGRAMS = [
  { name: 'Ambermoor Basin pump testing (invented)', rules: ['ambermoor-1', 'ambermoor-2'] },
  { name: 'Sedgewater well levels and energy (invented)', rules: ['sedgewater-1'] },
] as const

export interface SeededProgram {
  readonly id: string
  readonly name: string
  /** Key of its reading room, of another person than the author of the rules. */
  readonly key: string
  readonly authorKey: string
  readonly versions: number
}

/** Makes the programs and publishes their rules, version by version. */
export async function seedPrograms(baseUrl: string, adminKey: string): Promise<readonly SeededProgram[]> {
  const admin = new Liftledger({ baseUrl, apiKey: adminKey })
  const programs: SeededProgram[] = []
  for (const { name, rules } of PROGRAMS) {
    const { id } = await admin.programs.create({ name })
    const officer = async (holder: string) => {
      const { key } = await admin.keys.create({ role: 'program', programId: id, name: 'Office of the program', holder })
      return { key, client: new Liftledger({ baseUrl, apiKey: key }) }
    }
    const [author, publisher] = [await officer('P-01'), await officer('P-02')]
    for (const file of rules) await publishRules(author.client, publisher.client, rulesIn(file))
    programs.push({ id, name, key: publisher.key, authorKey: author.key, versions: rules.length })
  }
  return programs
}

/** Drafts rules and tries them over the tests that the program has. */
export async function tryRules(author: Liftledger, rules: Rules): Promise<{ id: string; run: DryRun }> {
  const { id } = await author.ruleSets.draft(rules)
  const { id: runId } = await author.dryRuns.create(id)
  for (;;) {
    const run = await author.dryRuns.get(runId)
    if (run.state === 'finished') return { id, run }
    if (run.state === 'failed') throw new Error(run.failed)
    await sleep(20)
  }
}

async function publishRules(author: Liftledger, publisher: Liftledger, rules: Rules): Promise<void> {
  const { id } = await tryRules(author, rules)
  const { etag } = await publisher.ruleSets.get(id).withResponse()
  await publisher.ruleSets.publish(id, { ifMatch: etag! })
}

/** Gives tests of a firm to programs, with the grower’s consent of the moment they came in. */
export async function giveTests(
  firm: Liftledger,
  programs: readonly Pick<SeededProgram, 'id'>[],
  tests: readonly { readonly id: string; readonly receivedAt: string }[],
): Promise<void> {
  for (const [n, { id, receivedAt }] of tests.entries()) {
    const consent = { givenAt: receivedAt, by: 'grower', evidence: `CONSENT-${n + 1}` } as const
    for (const program of programs) {
      await firm.tests.giveToProgram(id, { programId: program.id, consent }).catch((error: unknown) => {
        // Asked again after an answer was lost: the program has it.
        if (!(error instanceof ApiError && error.code === 'conflict')) throw error
      })
    }
  }
}

const AT_ONCE = 16

/** The judgement of every test that a program has, in the order of its list. */
export async function judgeAll(baseUrl: string, { id, key }: SeededProgram): Promise<readonly Judgement[]> {
  const client = new Liftledger({ baseUrl, apiKey: key })
  const tests: string[] = []
  for await (const test of client.tests.list({ limit: 200 })) tests.push(test.id)
  const judged: Judgement[] = new Array(tests.length)
  let next = 0
  const worker = async (): Promise<void> => {
    for (let n = next++; n < tests.length; n = next++) judged[n] = await client.programs.judgeTest(id, tests[n]!)
  }
  await Promise.all(Array.from({ length: AT_ONCE }, worker))
  return judged
}
