/**
 * A tester’s instruments: what their records state, and how far each is truly off.
 *
 * The true error is drawn from what the record states: evenly within a limit, normally where a 95 % interval is
 * stated. Where a record states nothing, common practice says what such an instrument is good for.
 */
import type { ContextInstrument } from '@liftledger/calc'
import type { Random } from './random.ts'
import { DAYS_OF_YEAR, dateOf } from './reading.ts'

export type FlowUse = 'pitot' | 'clamp-on' | 'insertion'

/** An instrument in the bag: its record, and its true error. */
export interface Carried {
  readonly record: ContextInstrument
  /** Relative error of its scale; of a gauge, of its full scale. */
  readonly scale: number
  /** What it shows at zero, or what it is off everywhere; in SI. */
  readonly offset: number
  /** Relative error that each year adds. */
  readonly driftPerYear: number
}

/** A clamp has three scales. */
export interface Clamp extends Carried {
  readonly voltage: number
  readonly current: number
  readonly powerFactor: number
}

export interface Kit {
  readonly sounder: Carried
  /** By the end of their scales, smallest first. */
  readonly gauges: readonly Carried[]
  readonly vacuumGauge: Carried
  readonly pitot: Carried & { readonly statedCoefficient: number }
  readonly clampOn: Carried
  readonly insertion: Carried
  readonly clamp: Clamp
  readonly thermometer: Carried
  readonly watch: Carried
}

/** A bias that the record does not know of. */
export interface Bias {
  readonly instrument: string
  readonly quantity: 'flow'
  /** Shown over true, less one. */
  readonly relative: number
}

export const GAUGE_SCALES = [30, 60, 100, 160, 300] as const
const INTERVAL_95 = 1.959963984540054

/** When certificates stand: from before the first day; most outlast the last, some lapse soon after it. */
interface Span {
  readonly firstDay: number
  readonly years: number
}

function certificate(random: Random, code: string, { firstDay, years }: Span) {
  const lastDay = firstDay + Math.ceil(years * DAYS_OF_YEAR)
  return {
    number: `INV-${code}`,
    validFrom: dateOf(firstDay - random.whole(1, 200)),
    validUntil: dateOf(lastDay + random.whole(20, 400)),
  }
}

const steady = { scale: 0, offset: 0, driftPerYear: 0 } as const

function gauge(random: Random, code: string, fullScale: number, span: Span): Carried {
  // A tenth of the limit is left for drift.
  const years = span.years + 0.6
  return {
    record: {
      code,
      kind: 'pressure-gauge',
      resolution: { value: fullScale >= 100 ? fullScale / 200 : fullScale / 120, unit: 'psi' },
      fullScale: { value: fullScale, unit: 'psi' },
      accuracy: { percent: 1, of: 'full-scale', stated: 'limit' },
      certificate: certificate(random, code, span),
    },
    scale: random.within(0.009),
    offset: random.within(0.004),
    driftPerYear: random.within(0.001 / years),
  }
}

function flowMeter(
  random: Random,
  code: string,
  kind: 'clamp-on-meter' | 'insertion-meter',
  span: Span,
  accuracy: { readonly percent: number; readonly of: 'reading'; readonly stated: 'interval-95' } | undefined,
  deviation: number,
): Carried {
  return {
    record: {
      code,
      kind,
      resolution: kind === 'clamp-on-meter' ? { value: 1, unit: 'gpm' } : { value: 0.01, unit: 'ft/s' },
      ...(accuracy !== undefined && { accuracy }),
      certificate: certificate(random, code, span),
    },
    ...steady,
    scale: random.normal(deviation),
  }
}

/** Draws a bag of instruments; their codes begin with `prefix`, unique within a firm. */
export function drawKit(random: Random, prefix: string, span: Span, bias?: Bias): Kit {
  const biased = (carried: Carried): Carried =>
    bias?.instrument === carried.record.code ? { ...carried, scale: bias.relative } : carried
  const named = (kind: ContextInstrument['kind'], name: string, resolution?: ContextInstrument['resolution']) => {
    const code = `${prefix}-${name}`
    return { code, kind, ...(resolution && { resolution }), certificate: certificate(random, code, span) }
  }
  const statedCoefficient = Number(random.between(0.985, 1.005).toFixed(3))
  const pitot = biased({
    record: named('pitot-tube-and-manometer', 'pitot', { value: 0.05, unit: 'in' }),
    ...steady,
    scale: random.normal(0.005),
  })
  return {
    sounder: {
      record: {
        ...named('electric-sounder', 'sounder', { value: random.pick([0.01, 0.1]), unit: 'ft' }),
        accuracy: { percent: 0.1, of: 'reading', stated: 'interval-95' },
      },
      scale: random.normal(0.001 / INTERVAL_95),
      offset: random.normal(0.006),
      driftPerYear: 0,
    },
    gauges: GAUGE_SCALES.map((end) => gauge(random, `${prefix}-gauge-${end}`, end, span)),
    vacuumGauge: gauge(random, `${prefix}-compound`, 30, span),
    pitot: { ...pitot, statedCoefficient },
    // What a clamp-on meter is good for depends on the pipe, so its certificate states no accuracy.
    clampOn: biased(flowMeter(random, `${prefix}-clampon`, 'clamp-on-meter', span, undefined, 0.015)),
    insertion: biased(
      flowMeter(
        random,
        `${prefix}-insertion`,
        'insertion-meter',
        span,
        { percent: 3, of: 'reading', stated: 'interval-95' },
        0.03 / INTERVAL_95,
      ),
    ),
    clamp: {
      record: named('power-clamp', 'clamp'),
      ...steady,
      voltage: random.normal(0.01),
      current: random.normal(0.015),
      powerFactor: random.normal(0.02),
    },
    thermometer: {
      record: named('thermometer', 'thermometer', { value: 1, unit: 'degF' }),
      ...steady,
      offset: random.within(0.8),
    },
    watch: { record: named('stopwatch', 'watch', { value: 0.1, unit: 's' }), ...steady },
  }
}

/** Every record of a kit, as the firm registers it. */
export const recordsOf = (kit: Kit): ContextInstrument[] => [
  kit.sounder.record,
  ...kit.gauges.map(({ record }) => record),
  kit.vacuumGauge.record,
  kit.pitot.record,
  kit.clampOn.record,
  kit.insertion.record,
  kit.clamp.record,
  kit.thermometer.record,
  kit.watch.record,
]

/** Relative error of a scale on a day. */
export const scaleOn = (carried: Carried, yearsSinceStart: number): number =>
  carried.scale + carried.driftPerYear * yearsSinceStart
