/**
 * A draft judges every test that the program has, page by page beside the requests: what would change, and by how much.
 *
 * It reads with the eyes of the program, keeps what it finds page by page, and gives way after each few tests. One that
 * is cut off is told as failed, and another one can be begun.
 */
import { type Context, editionById, evaluate, type Sheet } from '@liftledger/calc'
import type { Deps } from '../deps.ts'
import type { Principal } from '../http/principal.ts'
import { endRun, type Found, goOn } from './dry-run-queries.ts'
import type { DryRunSummary, Verdict } from './dry-run-schemas.ts'
import { type GivenTest, listGivenTests } from './material-queries.ts'
import type { PublishedVersion } from './rule-set-queries.ts'
import { type JudgedTest, judge } from './rules/judge.ts'
import type { Material } from './rules/material.ts'
import { moneyOf, moneyText, ZERO } from './rules/money.ts'
import type { RuleSetContent } from './rules/schema.ts'
import { inForceOn } from './rules/versions.ts'

export interface RunToMake {
  readonly id: string
  readonly principal: Principal
  readonly rules: RuleSetContent
  readonly published: readonly PublishedVersion[]
}

const TESTS_AT_ONCE = 100
/** Then others get their turn. */
const TESTS_IN_A_ROW = 5

export class DryRuns {
  readonly #deps: Pick<Deps, 'databases' | 'now' | 'log'>
  readonly #atWork = new Set<Promise<void>>()
  #stopping = false

  constructor(deps: Pick<Deps, 'databases' | 'now' | 'log'>) {
    this.#deps = deps
  }

  /** Begins a run whose row is there; answers at once. */
  begin(run: RunToMake): void {
    const work = this.#carryOut(run).finally(() => this.#atWork.delete(work))
    this.#atWork.add(work)
  }

  /** Waits until those at work have told that they were cut off. */
  async close(): Promise<void> {
    this.#stopping = true
    await Promise.all(this.#atWork)
  }

  async #carryOut(run: RunToMake): Promise<void> {
    const { databases, now, log } = this.#deps
    const end = (how: { summary: DryRunSummary } | { failed: string }): Promise<void> =>
      databases.asPrincipal(run.principal, (tx) => endRun(tx, { id: run.id, at: now(), ...how }))
    try {
      const tally = new Tally()
      let after: string | undefined
      do {
        if (this.#stopping) return await end({ failed: 'The service was stopped while it was at work.' })
        after = await this.#page(run, tally, after)
      } while (after !== undefined)
      await end({ summary: tally.summary() })
    } catch (error) {
      log.error({ err: error, dryRun: run.id }, 'dry run failed')
      await end({ failed: 'Something went wrong on our side; the log of the service says what.' }).catch(
        () => undefined,
      )
    }
  }

  /** Judges one page and keeps what was found; answers where the next one begins. */
  async #page(run: RunToMake, tally: Tally, after: string | undefined): Promise<string | undefined> {
    const { databases, now } = this.#deps
    const programId = run.principal.programId!
    const tests = await databases.asPrincipal(run.principal, (tx) =>
      listGivenTests(tx, programId, { after, limit: TESTS_AT_ONCE }),
    )
    const found: Found[] = []
    for (const [n, test] of tests.entries()) {
      if (n % TESTS_IN_A_ROW === 0) await new Promise((resolve) => setImmediate(resolve))
      const change = tally.add(test, run)
      if (change !== undefined) found.push(change)
    }
    await databases.asPrincipal(run.principal, (tx) =>
      goOn(tx, { id: run.id, programId, at: now(), judged: tally.judged }, found),
    )
    return tests.length < TESTS_AT_ONCE ? undefined : tests.at(-1)!.id
  }
}

/** Both judgements from one evaluation; undefined where the test can’t be evaluated here. */
function materialOf({ edition: editionId, raw, context, ...test }: GivenTest): Material | undefined {
  const edition = editionById(editionId)
  if (edition === undefined) return undefined
  try {
    const sheet = JSON.parse(raw.toString('utf8')) as Sheet
    const records = JSON.parse(context.toString('utf8')) as Context
    const { consent, before, decisions, closed, beside } = test
    const around = { consent, before, decisions, closed, beside, beforeMayBeLater: false }
    return { sheet, context: records, edition, evaluation: evaluate(sheet, records, edition), ...around }
  } catch {
    return undefined
  }
}

const verdictOf = ({ version }: RuleSetContent, { soundness, eligibility, payable, amount }: JudgedTest): Verdict => ({
  version,
  soundness: soundness as Verdict['soundness'],
  eligibility,
  payable,
  ...(amount.amount !== undefined && { amount: amount.amount }),
})

const amountIn = ({ amount }: Verdict) => (amount === undefined ? ZERO : moneyOf(amount))

/** Counts and sums as they come. */
class Tally {
  judged = 0
  #notJudged = 0
  #withoutVersion = 0
  readonly #changed = { changed: 0, soundness: 0, eligibility: 0, amount: 0, becamePayable: 0, noLongerPayable: 0 }
  readonly #sums = { amounts: { before: ZERO, after: ZERO }, payable: { before: ZERO, after: ZERO } }

  add(test: GivenTest, { rules, published }: RunToMake): Found | undefined {
    const material = materialOf(test)
    if (material === undefined) {
      this.#notJudged += 1
      return undefined
    }
    this.judged += 1
    const after = verdictOf(rules, judge(rules, material))
    const inForce = inForceOn(published, test.testedOn)
    if (inForce === undefined) {
      this.#withoutVersion += 1
      return undefined
    }
    const before = verdictOf(inForce.content, judge(inForce.content, material))
    this.#addSums(before, after)
    if (!this.#addChanges(before, after)) return undefined
    return { testId: test.id, change: { testedOn: test.testedOn, before, after } }
  }

  #addSums(before: Verdict, after: Verdict): void {
    for (const [side, verdict] of [
      ['before', before],
      ['after', after],
    ] as const) {
      this.#sums.amounts[side] = this.#sums.amounts[side].plus(amountIn(verdict))
      if (verdict.payable) this.#sums.payable[side] = this.#sums.payable[side].plus(amountIn(verdict))
    }
  }

  #addChanges(before: Verdict, after: Verdict): boolean {
    const differs = {
      soundness: before.soundness !== after.soundness,
      eligibility: before.eligibility !== after.eligibility,
      amount: before.amount !== after.amount,
      becamePayable: !before.payable && after.payable,
      noLongerPayable: before.payable && !after.payable,
    }
    const names = (Object.keys(differs) as (keyof typeof differs)[]).filter((name) => differs[name])
    for (const name of names) this.#changed[name] += 1
    if (names.length > 0) this.#changed.changed += 1
    return names.length > 0
  }

  summary(): DryRunSummary {
    const told = ({ before, after }: { before: typeof ZERO; after: typeof ZERO }) => ({
      before: moneyText(before),
      after: moneyText(after),
      difference: moneyText(after.minus(before)),
    })
    return {
      judged: this.judged,
      notJudged: this.#notJudged,
      withoutVersion: this.#withoutVersion,
      ...this.#changed,
      amounts: told(this.#sums.amounts),
      payable: told(this.#sums.payable),
    }
  }
}
