/** The public surface of the calculation. */

export { catalogue, METHODS_OF } from './catalogue.ts'
export { CAUTIONS_OF_REPORTS, type CautionId, cautions } from './cautions.ts'
export { cautionsOf } from './cautions-of.ts'
export {
  Certificate,
  Context,
  type ContextInstrument,
  Equipment,
  EquipmentFacts,
  InstrumentFacts,
  PLANT_KINDS,
  Qualification,
} from './context.ts'
export { editionById, editions, latestEdition } from './editions/list.ts'
export { evaluate } from './evaluate.ts'
export {
  Advice,
  Evaluation,
  Finding,
  HandCheck,
  QuantityId,
  Result,
  SEVERITIES,
  type Severity,
  SOUNDNESS,
  Trace,
  TraceComponent,
  TraceNode,
  Withheld,
} from './evaluation.ts'
export { findings } from './findings/list.ts'
export { formulas } from './formulas/list.ts'
export { instrumentOfReading, type NamedInstrument, namedInstruments } from './named-instruments.ts'
export type { NoisyKind, NoisyReading } from './noisy-readings.ts'
export { CODE_PATTERN, SHEET_PATTERN_PHRASES } from './pattern-phrases.ts'
export { nominalMotorEfficiency } from './power/motor-tables.ts'
export { QUANTITY_IDS, quantities } from './quantities.ts'
export {
  comparedReadings,
  equalRun,
  LEAST_SHIFTED,
  movedRun,
  type SharedRun,
  shareAtSamePlace,
  WINDOW,
  windowTexts,
} from './readings-in-common.ts'
export { recordFindingList } from './record/findings/list.ts'
export type { RecordedTest, RecordFinding, TestRecord } from './record/record.ts'
export { recordFindings } from './record/record-findings.ts'
export { roundText } from './rounding.ts'
export { Sheet } from './sheet.ts'
export { type SheetProblem, sheetProblems } from './sheet-problems.ts'
export { coverageFactor95 } from './student-t.ts'
export { type AnyEdition as MethodEdition, scaleEndOf } from './surroundings.ts'
export { traceQuantity } from './trace.ts'
export {
  acceptedUnits,
  type Dimension,
  fromSi,
  isUnitOf,
  type Measured,
  siUnit,
  toSi,
  UnitError,
  unitSize,
  unitsOf,
  unitTable,
} from './units.ts'
