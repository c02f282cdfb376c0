/** From rows and evaluations to what the API answers. */
import type { Evaluation } from '@liftledger/calc'
import { toWire } from '../http/ids.ts'
import { type LoadedTest, replay } from './load.ts'
import type { listStoredTests } from './queries.ts'
import type { FieldTest, TestSummary } from './schemas.ts'

/** The members of an answer that do not come from the evaluation. */
export type TestFacts = Omit<FieldTest, keyof Evaluation | 'links'>

/**
 * A test with its results, as JSON; the same whether it was just written or is read years later.
 *
 * The evaluation goes in as the canonical text that was hashed: what is answered is what was recorded, and is written
 * out once.
 */
export function fieldTestText(facts: TestFacts, canonicalEvaluation: string): string {
  const self = `/v1/tests/${facts.id}`
  const links: FieldTest['links'] = {
    self,
    results: `${self}/results`,
    findings: `${self}/findings`,
    trace: `${self}/trace/{quantity}`,
    plant: `/v1/plants/${facts.plantId}`,
  }
  // One object of two: what closes the first and opens the second makes way for a comma.
  return `${JSON.stringify({ ...facts, links }).slice(0, -1)},${canonicalEvaluation.slice(1)}`
}

/** A stored test, evaluated again. */
export function storedFieldTest(loaded: LoadedTest): string {
  const { stored, context } = loaded
  const { canonical, outcome } = replay(loaded)
  return fieldTestText(
    {
      id: toWire('test', stored.id),
      plant: context.plant.code,
      plantId: toWire('plant', stored.plantId),
      firmId: toWire('firm', stored.firmId),
      tester: context.tester.code,
      testedOn: stored.testedOn,
      receivedAt: stored.receivedAt.toISOString(),
      rawSha256: stored.rawSha256.toString('hex'),
      contextSha256: stored.contextSha256.toString('hex'),
      evaluationSha256: stored.evaluationSha256.toString('hex'),
      replay: outcome,
      ledgerIndex: stored.ledgerIndex,
    },
    canonical,
  )
}

type ListedTest = Awaited<ReturnType<typeof listStoredTests>>[number]

/** A test in a list: from its columns alone, without evaluating. */
export function testSummary(row: ListedTest): TestSummary {
  const findings = { reject: 0, hold: 0, caution: 0, note: 0 }
  for (const { severity } of row.findings as unknown as { severity: keyof typeof findings }[]) findings[severity]++
  return {
    id: toWire('test', row.id),
    plant: row.plant,
    testedOn: row.testedOn,
    receivedAt: row.receivedAt.toISOString(),
    edition: row.edition,
    soundness: row.soundness as TestSummary['soundness'],
    ...(row.flowM3S !== null && { flowM3S: row.flowM3S }),
    ...(row.headM !== null && { headM: row.headM }),
    ...(row.inputPowerW !== null && { inputPowerW: row.inputPowerW }),
    ...(row.efficiency !== null && { overallPlantEfficiency: row.efficiency }),
    ...(row.efficiencyU !== null && { overallPlantEfficiencyExpandedUncertainty: row.efficiencyU }),
    findings,
  }
}
