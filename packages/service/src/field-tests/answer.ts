/** From rows and evaluations to what the API answers. */
import type { Evaluation, Sheet } from '@liftledger/calc'
import { toWire } from '../http/ids.ts'
import { NOT_COMPARED } from '../record-findings/told.ts'
import type { Assessment } from './assess.ts'
import type { ReadTest } from './load.ts'
import type { listStoredTests } from './queries.ts'
import type { Recorded } from './recorded.ts'
import type { FieldTest, TestSummary } from './schemas.ts'
import type { Submission } from './write.ts'

/** Entries of the ledger about a test, by its wire id; for who sees all tests. */
export const entriesLink = (id: string): string => `/v1/ledger/entries?test=${id}`

/** The members of an answer that do not come from the evaluation. */
type Facts = Omit<FieldTest, keyof Evaluation | 'links'>

/**
 * A test with its results, as JSON; the same whether it was just written or is read years later.
 *
 * The evaluation goes in as the canonical text that was hashed: what is answered is what was recorded, and is written
 * out once.
 */
function fieldTestText(facts: Facts, canonicalEvaluation: string): string {
  return `${factsText(facts)}${canonicalEvaluation.slice(1)}`
}

/** All but the evaluation, up to where its first member goes. */
function factsText(facts: Facts): string {
  const self = `/v1/tests/${facts.id}`
  const links: FieldTest['links'] = {
    self,
    results: `${self}/results`,
    findings: `${self}/findings`,
    trace: `${self}/trace/{quantity}`,
    efficiency: `${self}/trace/overall-plant-efficiency`,
    sheet: `${self}/sheet`,
    context: `${self}/context`,
    plant: `/v1/plants/${facts.plantId}`,
    versions: `${self}/versions`,
    recordFindings: `${self}/record-findings`,
    decisions: `${self}/decisions`,
    replay: `${self}/replay`,
    entries: entriesLink(facts.id),
    bundle: `/v1/ledger/bundle/${facts.id}`,
  }
  // One object of two: what closes the first and opens the second makes way for a comma.
  return `${JSON.stringify({ ...facts, links }).slice(0, -1)},`
}

/** How sure an answer is of being what was recorded, and where its figures come from. */
export const provenanceOf = ({ replay, from, main }: Recorded) => ({
  replay,
  answeredFrom: from,
  ...(main !== undefined && { recorded: main }),
})

/** A stored test as recorded. */
export function storedFieldTest(test: ReadTest): string {
  const { stored, context, standing, record, evaluation, canonical, ...recorded } = test
  return fieldTestText(
    {
      id: toWire('test', stored.id),
      plant: context.plant.code,
      plantId: toWire('plant', stored.plantId),
      firmId: toWire('firm', stored.firmId),
      tester: context.tester.code,
      testedOn: stored.testedOn,
      receivedAt: stored.receivedAt.toISOString(),
      revision: stored.revision,
      ...(stored.revises !== null && { revises: toWire('test', stored.revises) }),
      ...(standing.successor !== null && { supersededBy: toWire('test', standing.successor) }),
      rawSha256: stored.rawSha256.toString('hex'),
      contextSha256: stored.contextSha256.toString('hex'),
      evaluationSha256: stored.evaluationSha256.toString('hex'),
      ...provenanceOf({ ...recorded, evaluation, canonical }),
      ledgerIndex: stored.ledgerIndex,
      record,
    },
    withSoundness(canonical, evaluation.soundness, standing.soundness),
  )
}

/** The evaluation with the soundness that the record, later decisions, a revision or a withdrawal made of the evaluated one. */
function withSoundness(canonical: string, evaluated: string, now: string): string {
  if (evaluated === now) return canonical
  // In canonical order it stands last but one, and no quote within a text goes without a backslash.
  const member = `,"soundness":"${evaluated}","withheld":`
  const at = canonical.lastIndexOf(member)
  return `${canonical.slice(0, at)},"soundness":"${now}","withheld":${canonical.slice(at + member.length)}`
}

/** A test that was written just now, with its evaluation; as UTF-8. */
export function writtenFieldTest(
  submission: Submission,
  { plant, tester }: Sheet,
  ledgerIndex: number,
  { rawSha256, evaluationSha256, evaluation }: Assessment,
  version: Pick<FieldTest, 'revision' | 'revises'> = { revision: 1 },
): Buffer {
  const facts = factsText({
    id: toWire('test', submission.id),
    plant,
    plantId: toWire('plant', submission.plantId),
    firmId: toWire('firm', submission.firmId),
    tester,
    testedOn: submission.testedOn,
    receivedAt: submission.receivedAt.toISOString(),
    ...version,
    rawSha256,
    contextSha256: submission.contextSha256.toString('hex'),
    evaluationSha256,
    replay: 'identical',
    answeredFrom: 'replay',
    ledgerIndex,
    record: NOT_COMPARED,
  })
  return Buffer.concat([Buffer.from(facts), evaluation.subarray(1)])
}

type ListedTest = Awaited<ReturnType<typeof listStoredTests>>[number]

/** A test in a list: from its columns alone, without evaluating. */
export function testSummary(row: ListedTest): TestSummary {
  const findings = {
    reject: row.rejects ?? 0,
    hold: row.holds ?? 0,
    caution: row.cautions ?? 0,
    note: row.notes ?? 0,
  }
  for (const { severity } of row.findings as unknown as { severity: keyof typeof findings }[]) findings[severity]++
  return {
    id: toWire('test', row.id),
    plant: row.plant,
    testedOn: row.testedOn,
    receivedAt: row.receivedAt.toISOString(),
    edition: row.edition,
    soundness: row.soundness,
    compared: row.comparedAt !== null,
    revision: row.revision,
    ...(row.successor !== null && { supersededBy: toWire('test', row.successor) }),
    ...(row.flowM3S !== null && { flowM3S: row.flowM3S }),
    ...(row.headM !== null && { headM: row.headM }),
    ...(row.inputPowerW !== null && { inputPowerW: row.inputPowerW }),
    ...(row.efficiency !== null && { overallPlantEfficiency: row.efficiency }),
    ...(row.efficiencyU !== null && { overallPlantEfficiencyExpandedUncertainty: row.efficiencyU }),
    findings,
  }
}
