/** Every line that asks a reader for something, what that touches that can hurt, and who or what it defers to. */
import { type CautionId, catalogue } from '@liftledger/calc'

interface Danger {
  readonly name: string
  /** Words of a line that touches it. */
  readonly touched: RegExp
  /** Words of a line that leaves it to those who may, or keeps away from it. */
  readonly defers: RegExp
  readonly cautions: readonly CautionId[]
}

const BY_OTHERS = /qualified|licensed|whoever|those who operate|owner/

export const DANGERS: readonly Danger[] = [
  {
    name: 'live panel',
    touched: /\b(panel|voltages?|currents?|clamp|kilowatts(?!-)|capacitors?|power factor|utility meter)\b/i,
    defers: /qualified|from outside|utility’s (card|bill)/,
    cautions: ['electrical-panel'],
  },
  {
    name: 'moving parts',
    touched: /\b(shaft|speeds?|guards?|moving parts|suction side|tachometer|frequency)\b/i,
    defers: /guards|through the guard|by light|whoever|locked|away from/,
    cautions: ['rotating-shaft', 'lock-out'],
  },
  {
    name: 'pipe under pressure',
    touched: /\b(tapping|traverse|(?<!sounding )tube|tap|cock|hoses|smaller plate|another plate|sensors|drill)\b/i,
    defers: /safely|qualified|closed and vented|stopped and locked/,
    cautions: ['drilling-pressurised-pipe', 'pressure-and-hammer', 'lock-out'],
  },
  {
    name: 'gauge',
    touched: /\bgauges?\b/i,
    defers: /safely|closed and vented|Nothing of the gas line is opened/,
    cautions: ['pressure-and-hammer', 'rotating-shaft', 'compressed-gas'],
  },
  {
    name: 'well',
    touched: /\b(levels?(?! datum)|sound|sounder|sounding|probe|(?<!stilling )wells?|oil|bowls)\b/i,
    defers: /safely|licensed|owner|those who operate/,
    cautions: ['well-and-contamination', 'well-head', 'compressed-gas'],
  },
  { name: 'compressed air', touched: /\bblow\b/i, defers: /no more pressure/, cautions: ['compressed-gas'] },
  {
    name: 'fuel, gas or engine',
    touched: /\b(fuel|gas|engine)\b/i,
    defers: /qualified|supplier|Nothing of the gas line is opened|bill/,
    cautions: ['fuel', 'engine'],
  },
  {
    name: 'open water',
    touched: /\b(channel|ditch|pool|water surface|downstream|upstream|notch|weir|flume|stilling well)\b/i,
    defers: /leaning|whoever|qualified|away from jets/,
    cautions: ['lifting-and-falls', 'drilling-pressurised-pipe', 'place-for-the-water'],
  },
  {
    name: 'stopping, switching, closing',
    touched: /\b(stopped|stopping|switched|valve|lower flow|is not started)\b/i,
    defers: BY_OTHERS,
    cautions: ['lock-out', 'pressure-and-hammer', 'drilling-pressurised-pipe', 'well-head'],
  },
]

export interface Line {
  readonly id: string
  readonly text: string
  readonly cautions: readonly CautionId[]
}

/** Remedies of findings, in the order of the catalogue. */
export const LINES: readonly Line[] = catalogue.findings.map(({ id, remedy, cautions }) => ({
  id,
  text: remedy,
  cautions,
}))

/**
 * Lines that name something that can hurt but ask for nothing at the plant: to look at a number, a unit or a record,
 * to write something down, or to tell somebody. Each was read before it was put here.
 */
export const ON_PAPER: ReadonlySet<string> = new Set([
  'profile-factor-missing',
  'run-conditions-not-described',
  'level-below-well-bottom',
  'air-line-pressure-above-line',
  'discharge-pressure-negative',
  'booster-adds-no-head',
  'ultrasonic-readings-unsteady',
  'engine-efficiency-impossible',
  'efficiency-above-one',
  'total-head-not-positive',
  'head-less-than-lift',
  'efficiency-above-attainable',
  'runs-break-the-affinity-laws',
  'drawdown-not-following-flow',
])

export const touchedBy = ({ text }: Line): readonly Danger[] => DANGERS.filter(({ touched }) => touched.test(text))

/** What a line defers to where it touches a danger: words of its own, or the cautions shown beside it. */
export const defersTo = ({ text, cautions }: Line, danger: Danger): string | undefined => {
  const words = danger.defers.exec(text)?.[0]
  if (words !== undefined) return `“${words}”`
  return cautions.find((id) => danger.cautions.includes(id))
}
