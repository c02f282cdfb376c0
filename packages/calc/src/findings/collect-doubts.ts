/** Readings that look as if taken for another unit, read finer than the instrument shows, or outside its range. */
import type { ContextInstrument } from '../context.ts'
import type { SpanName, UsualSpan } from '../editions/edition.ts'
import type { Reading } from '../readings.ts'
import type { Run } from '../sheet.ts'
import { type Dimension, fromSi, isUnitOf, toSi } from '../units.ts'
import type { Visit } from '../visit.ts'
import { writtenStep } from '../written-step.ts'
import type { Facts } from './facts.ts'

const inside = (value: number, { low, high }: UsualSpan): boolean => value >= low && value <= high

/** The unit in which a reading outside its usual span would be usual, if there is one. */
export function unitInstead(reading: Reading, span: UsualSpan): string | undefined {
  const inUnitOf = (unit: string) =>
    fromSi(toSi({ value: reading.value, unit }, span.dimension), span.unit, span.dimension)
  if (inside(inUnitOf(reading.unit), span)) return undefined
  return span.others.find((unit) => unit !== reading.unit && inside(inUnitOf(unit), span))
}

const doubt = (what: string, { value, unit }: Reading, instead: string): string =>
  `${what} is given as ${value} ${unit}, which is unusual; ${value} ${instead} would be usual`

/** A rate is judged by the velocity it makes in its pipe, since pumps come in all sizes. */
function rateInstead(rate: Reading, diameterM: number | undefined, visit: Visit): string | undefined {
  const { spans } = visit.edition
  if (diameterM === undefined) return unitInstead(rate, spans.rate)
  const area = (Math.PI * diameterM * diameterM) / 4
  const velocitySpan = spans['velocity-of-rate']
  const velocityIn = (unit: string) =>
    fromSi(toSi({ value: rate.value, unit }, 'flow') / area, velocitySpan.unit, velocitySpan.dimension)
  if (inside(velocityIn(rate.unit), velocitySpan)) return undefined
  return spans.rate.others.find((unit) => unit !== rate.unit && inside(velocityIn(unit), velocitySpan))
}

function unitDoubtOf(visit: Visit, run: Run, facts: Facts): string | undefined {
  const { spans } = visit.edition
  const check = (what: string, reading: Reading | undefined, name: SpanName): string | undefined => {
    // A discharge near or below zero is no matter of units.
    if (reading === undefined || reading.value === 0) return undefined
    const instead = unitInstead(reading, spans[name])
    return instead === undefined ? undefined : doubt(what, reading, instead)
  }
  const { flow } = run
  const pipe = flow?.pipe
  const found =
    check('The discharge pressure', run.dischargePressure?.reading, 'discharge-pressure') ??
    check('The water temperature', run.waterTemperature, 'water-temperature') ??
    check('The inside diameter', pipe?.insideDiameters?.[0], 'inside-diameter') ??
    check('The diameter at the discharge tap', run.dischargePressure?.insideDiameterAtTap, 'inside-diameter')
  if (found !== undefined || flow === undefined || !('rates' in flow)) return found
  const rate = flow.rates[0]
  if (rate === undefined || rate.value <= 0) return undefined
  const instead = rateInstead(rate, facts.pipeDiameter, visit)
  return instead === undefined ? undefined : doubt('The rate', rate, instead)
}

/** True if a reading has digits that an instrument of this step can't show. */
export function isFinerThan(reading: Reading, step: Reading): boolean {
  // In one unit only: converted digits are no digits of the instrument.
  if (reading.unit !== step.unit || writtenStep(reading.value) >= step.value * 0.999) return false
  const steps = reading.value / step.value
  return Math.abs(steps - Math.round(steps)) > 1e-6 * Math.max(1, Math.abs(steps))
}

function isOutside(reading: Reading, range: NonNullable<ContextInstrument['range']>, dimension: Dimension): boolean {
  if (!isUnitOf(range.unit, dimension)) return false
  const value = toSi(reading, dimension)
  const [low, high] = [range.low, range.high].map((end) => toSi({ value: end, unit: range.unit }, dimension)) as [
    number,
    number,
  ]
  const slack = 1e-9 * Math.max(Math.abs(low), Math.abs(high))
  return value < low - slack || value > high + slack
}

type Named = readonly [what: string, reading: Reading, code: string | undefined, dimension: Dimension]

/** Readings with the instrument that made them, as far as their digits and range can be judged. */
function namedReadings({ sheet }: Visit, run: Run): Named[] {
  const uses = sheet.instruments
  const named: Named[] = []
  const add = (what: string, reading: Reading | undefined, use: string | undefined, dimension: Dimension) => {
    if (reading !== undefined) named.push([what, reading, reading.instrument ?? use, dimension])
  }
  add('The standing level', sheet.standingLevel?.reading, uses?.level, 'length')
  add('The pumping level', run.pumpingLevel?.reading, uses?.level, 'length')
  add('The discharge pressure', run.dischargePressure?.reading, uses?.pressure, 'pressure')
  if (run.suction?.method === 'gauge')
    add('The suction pressure', run.suction.reading, uses?.suctionPressure, 'pressure')
  const { flow } = run
  if (flow !== undefined && 'rates' in flow)
    for (const rate of flow.rates) add('A rate', rate, flow.instrument ?? uses?.flow, 'flow')
  for (const speed of run.speeds ?? []) add('A speed', speed, uses?.speed, 'speed')
  return named
}

/** Fills in the doubts about single readings of a run. */
export function collectDoubts(visit: Visit, run: Run, facts: Facts): void {
  facts.unitDoubt = unitDoubtOf(visit, run, facts)
  for (const [what, reading, code, dimension] of namedReadings(visit, run)) {
    const instrument = visit.instruments.onRecord(code)
    if (instrument === undefined) continue
    const { resolution, range } = instrument
    const read = `${what} is written as ${reading.value} ${reading.unit}`
    if (resolution !== undefined && facts.finerReading === undefined && isFinerThan(reading, resolution))
      facts.finerReading = `${read}, but the instrument ${instrument.code} shows steps of ${resolution.value} ${resolution.unit}`
    if (range !== undefined && facts.outsideRange === undefined && isOutside(reading, range, dimension))
      facts.outsideRange = `${read}; the instrument ${instrument.code} is certified from ${range.low} to ${range.high} ${range.unit}`
  }
}
