/** The invented basin: regions, firms with their testers, customers by number, plants. */
import type { Context } from '@liftledger/calc'
import { type Bias, drawKit, type FlowUse, type Kit } from './kit.ts'
import { BASIN_NAME, firmName, MARK, REGION_CODES } from './names.ts'
import { drawPlant, type SimulatedPlant } from './plant.ts'
import { Random } from './random.ts'
import { DAYS_OF_YEAR, dateOf, firstDayOf } from './reading.ts'
import type { Region } from './region.ts'
import { FOOT } from './units.ts'

export interface BasinOptions {
  /** The same seed and figures give the same basin, to the last digit. */
  readonly seed: number
  readonly plants: number
  /** Years of visits, 1 to 30. */
  readonly years: number
  readonly firms: number
  readonly testersPerFirm: number
  /** How many testers carry a biased flow instrument; none if left out. */
  readonly biased?: number
  /** Size of that bias, shown over true, less one; its sign is drawn. 0.08 if left out. */
  readonly bias?: number
  /** Share of visits with a clumsy mistake, 0 to 1; none if left out. */
  readonly mistakes?: number
  /** The first year of visits; 2023 if left out. */
  readonly firstYear?: number
}

export interface SimulatedTester {
  /** Unique within the firm. */
  readonly code: string
  readonly qualifications: Context['tester']['qualifications']
  readonly kit: Kit
  /** How this tester mostly measures flow. */
  readonly habit: FlowUse
  /** Stated where one instrument of the kit is wrong beyond its record. */
  readonly bias: Bias | undefined
}

export interface SimulatedFirm {
  readonly code: string
  readonly name: string
  readonly testers: readonly SimulatedTester[]
}

export interface SimulatedBasin {
  /** Stands here so that nothing made of it can be taken for real. */
  readonly invented: true
  readonly name: string
  readonly options: Required<BasinOptions>
  readonly regions: readonly Region[]
  readonly firms: readonly SimulatedFirm[]
  readonly plants: readonly SimulatedPlant[]
}

const SPANS: Readonly<Record<'plants' | 'years' | 'firms' | 'testersPerFirm', readonly [low: number, high: number]>> = {
  plants: [1, 200_000],
  years: [1, 30],
  firms: [1, 2000],
  testersPerFirm: [1, 50],
}

/** @throws RangeError that names the option, what was given and what is allowed */
function checked(options: BasinOptions): Required<BasinOptions> {
  const whole = { biased: 0, bias: 0.08, mistakes: 0, firstYear: 2023, ...options }
  for (const [name, [low, high]] of Object.entries(SPANS) as [keyof typeof SPANS, readonly [number, number]][]) {
    const value = whole[name]
    if (!Number.isInteger(value) || value < low || value > high)
      throw new RangeError(`${name} is ${value}; a whole number from ${low} to ${high} is allowed.`)
  }
  const testers = whole.firms * whole.testersPerFirm
  if (!(whole.biased >= 0 && whole.biased <= testers))
    throw new RangeError(`biased is ${whole.biased}; there are ${testers} testers, so 0 to ${testers} is allowed.`)
  if (!(whole.mistakes >= 0 && whole.mistakes <= 1))
    throw new RangeError(`mistakes is ${whole.mistakes}; a share from 0 to 1 is allowed.`)
  return whole
}

function drawRegions(random: Random): Region[] {
  return REGION_CODES.map((code, i) => ({
    code,
    standingDepth: random.between(170, 240) * FOOT * (1 - 0.15 * i),
    fallPerYear: random.between(-0.4, 3.2) * FOOT,
    swing: random.between(1, 5) * FOOT,
  }))
}

function drawTester(random: Random, code: string, options: Required<BasinOptions>, isBiased: boolean): SimulatedTester {
  const habit = random.weighted<FlowUse>({ pitot: 5, 'clamp-on': 3, insertion: 2 })
  const names = { pitot: 'pitot', 'clamp-on': 'clampon', insertion: 'insertion' } as const
  const span = { firstDay: firstDayOf(options.firstYear), years: options.years }
  const relative = options.bias * (random.happens(0.5) ? 1 : -1)
  const bias: Bias | undefined = isBiased
    ? { instrument: `${code}-${names[habit]}`, quantity: 'flow', relative }
    : undefined
  const lastDay = span.firstDay + Math.ceil(span.years * DAYS_OF_YEAR)
  return {
    code,
    qualifications: [
      {
        code: 'field-tester',
        validFrom: dateOf(span.firstDay - random.whole(10, 900)),
        validUntil: dateOf(lastDay + random.whole(20, 700)),
      },
    ],
    kit: drawKit(random.of('kit'), code, span, bias),
    habit,
    bias,
  }
}

/** Which testers are biased: so many of all, drawn without repeats. */
function drawBiased(random: Random, testers: number, biased: number): ReadonlySet<number> {
  const chosen = new Set<number>()
  while (chosen.size < biased) chosen.add(random.whole(0, testers - 1))
  return chosen
}

/** Draws the basin. Nothing in it depends on how many visits are asked for afterwards. */
export function drawBasin(given: BasinOptions): SimulatedBasin {
  const options = checked(given)
  const random = new Random(`basin/${options.seed}`)
  const regions = drawRegions(random.of('regions'))
  const biased = drawBiased(random.of('biased'), options.firms * options.testersPerFirm, options.biased)
  const firms = Array.from({ length: options.firms }, (_, f): SimulatedFirm => {
    const chance = random.of('firm', f)
    return {
      code: `F-${String(f + 1).padStart(2, '0')}`,
      name: firmName(chance, f + 1),
      testers: Array.from({ length: options.testersPerFirm }, (_, t) =>
        drawTester(
          chance.of('tester', t),
          `T-${String(t + 1).padStart(2, '0')}`,
          options,
          biased.has(f * options.testersPerFirm + t),
        ),
      ),
    }
  })
  const plants = Array.from({ length: options.plants }, (_, p) => {
    const chance = random.of('plant', p)
    const first = chance.pick(firms).code
    const second = chance.happens(0.12) ? chance.pick(firms).code : first
    return drawPlant(chance, {
      code: `AB-${String(p + 1).padStart(5, '0')}`,
      region: chance.pick(regions),
      customer: `C-${String(chance.whole(1, Math.ceil(options.plants / 2))).padStart(5, '0')}`,
      firms: first === second ? [first] : [first, second],
      firstDay: firstDayOf(options.firstYear),
      years: options.years,
    })
  })
  return { invented: true, name: `${BASIN_NAME} ${MARK}`, options, regions, firms, plants }
}
