/** Readings that look as if taken for another unit, read finer than the instrument shows, or outside its range. */
import type { ContextInstrument } from '../context.ts'
import type { UsualSpan } from '../editions/edition.ts'
import { testedFlows } from '../flow/flow-of-run.ts'
import type { SingleFlow } from '../flow/list.ts'
import { mainReading } from '../level/depths.ts'
import type { LevelReading } from '../level/list.ts'
import type { Reading } from '../readings.ts'
import type { Run } from '../sheet.ts'
import { type Dimension, isUnitOf, toSi } from '../units.ts'
import type { Visit } from '../visit.ts'
import { writtenStep } from '../written-step.ts'
import type { Facts } from './facts.ts'

const inside = (si: number, { lowSi, highSi }: UsualSpan): boolean => si >= lowSi && si <= highSi

/** The unit in which a reading outside its usual span would be usual, if there is one. */
function unitInstead(reading: Reading, span: UsualSpan): string | undefined {
  // Zero is zero in every unit of pressure or length.
  if (inside(toSi(reading, span.dimension), span) || reading.value === 0) return undefined
  const { value } = reading
  return span.others.find((unit) => unit !== reading.unit && inside(toSi({ value, unit }, span.dimension), span))
}

/** The same for a rate: judged by the velocity it makes in its pipe, since pumps come in all sizes. */
function rateInstead(rate: Reading, diameterM: number | undefined, { edition }: Visit): string | undefined {
  const { rate: span, 'velocity-of-rate': velocities } = edition.spans
  if (rate.value <= 0) return undefined
  if (diameterM === undefined) return unitInstead(rate, span)
  const area = (Math.PI * diameterM * diameterM) / 4
  const isUsual = (unit: string) => inside(toSi({ value: rate.value, unit }, 'flow') / area, velocities)
  if (isUsual(rate.unit)) return undefined
  return span.others.find((unit) => unit !== rate.unit && isUsual(unit))
}

const doubt = (what: string, { value, unit }: Reading, instead: string | undefined): string | undefined =>
  instead === undefined
    ? undefined
    : `${what} is given as ${value} ${unit}, which is unusual; ${value} ${instead} would be usual`

const doubtIn = (what: string, reading: Reading | undefined, span: UsualSpan): string | undefined =>
  reading === undefined ? undefined : doubt(what, reading, unitInstead(reading, span))

/** Doubts about a diameter or a rate of one flow. `pipe` holds the facts of its pipe. */
function flowDoubtOf(readings: SingleFlow, visit: Visit, pipe: Facts): string | undefined {
  const rate = 'rates' in readings ? readings.rates[0] : undefined
  return (
    doubtIn('The inside diameter', readings.pipe?.insideDiameters?.[0], visit.edition.spans['inside-diameter']) ??
    (rate === undefined ? undefined : doubt('The rate', rate, rateInstead(rate, pipe.pipeDiameter, visit)))
  )
}

function unitDoubtOf(visit: Visit, run: Run, facts: Facts, pipes: readonly Facts[]): string | undefined {
  const { spans } = visit.edition
  const { dischargePressure } = run
  let ofFlow: string | undefined
  testedFlows(run).forEach(({ readings }, i) => {
    ofFlow ??= flowDoubtOf(readings, visit, pipes[i] ?? facts)
  })
  return (
    doubtIn('The discharge pressure', dischargePressure?.reading, spans['discharge-pressure']) ??
    ofFlow ??
    doubtIn('The diameter at the discharge tap', dischargePressure?.insideDiameterAtTap, spans['inside-diameter'])
  )
}

/** True if a reading has digits that an instrument of this step can't show. */
export function isFinerThan(reading: Reading, step: Reading): boolean {
  // In one unit only: converted digits are no digits of the instrument.
  if (reading.unit !== step.unit) return false
  const steps = reading.value / step.value
  if (Math.abs(steps - Math.round(steps)) <= 1e-6 * Math.max(1, Math.abs(steps))) return false
  return writtenStep(reading.value) < step.value * 0.999
}

/** True if a reading lies beyond an end of the range of the instrument. */
export function isOutside(
  reading: Reading,
  { low, high, unit }: NonNullable<ContextInstrument['range']>,
  dimension: Dimension,
): boolean {
  if (!isUnitOf(unit, dimension)) return false
  const value = toSi(reading, dimension)
  const [lowest, highest] = [toSi({ value: low, unit }, dimension), toSi({ value: high, unit }, dimension)]
  const slack = 1e-9 * Math.max(Math.abs(lowest), Math.abs(highest))
  return value < lowest - slack || value > highest + slack
}

/** Looks at one reading beside the record of the instrument that made it. */
function lookAt(
  what: string,
  reading: Reading | undefined,
  use: string | undefined,
  dimension: Dimension,
  visit: Visit,
  facts: Facts,
): void {
  if (reading === undefined) return
  const instrument = visit.instruments.onRecord(reading.instrument ?? use)
  if (instrument === undefined) return
  const { resolution, range } = instrument
  const isFiner = resolution !== undefined && facts.finerReading === undefined && isFinerThan(reading, resolution)
  const isBeyond = range !== undefined && facts.outsideRange === undefined && isOutside(reading, range, dimension)
  if (!isFiner && !isBeyond) return
  const read = `${what} is written as ${reading.value} ${reading.unit}`
  if (isFiner)
    facts.finerReading = `${read}, but the instrument ${instrument.code} shows steps of ${resolution.value} ${resolution.unit}`
  if (isBeyond)
    facts.outsideRange = `${read}; the instrument ${instrument.code} is certified from ${range.low} to ${range.high} ${range.unit}`
}

/** Looks at the reading that a level rests on: a depth, or the pressure of an air line. */
function lookAtLevel(
  what: string,
  level: LevelReading | undefined,
  use: string | undefined,
  visit: Visit,
  facts: Facts,
): void {
  if (level === undefined) return
  const { reading } = mainReading(level)
  const named = 'pressures' in level ? `${what} by its pressure` : what
  lookAt(named, reading, use, 'pressures' in level ? 'pressure' : 'length', visit, facts)
}

/** Fills in the doubts about single readings of a run. `pipes` holds the facts of each of several pipes. */
export function collectDoubts(visit: Visit, run: Run, facts: Facts, pipes: readonly Facts[]): void {
  facts.unitDoubt = unitDoubtOf(visit, run, facts, pipes)
  const { sheet } = visit
  const uses = sheet.instruments
  lookAtLevel('The standing level', sheet.standingLevel, uses?.level, visit, facts)
  lookAtLevel('The pumping level', run.pumpingLevel, uses?.level, visit, facts)
  lookAt('The discharge pressure', run.dischargePressure?.reading, uses?.pressure, 'pressure', visit, facts)
  if (run.suction?.method === 'gauge')
    lookAt('The suction pressure', run.suction.reading, uses?.suctionPressure, 'pressure', visit, facts)
  const { speeds } = run
  for (const { readings } of testedFlows(run))
    if ('rates' in readings)
      for (const rate of readings.rates) lookAt('A rate', rate, readings.instrument ?? uses?.flow, 'flow', visit, facts)
  if (speeds !== undefined) for (const speed of speeds) lookAt('A speed', speed, uses?.speed, 'speed', visit, facts)
}
