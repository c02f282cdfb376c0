/** The facts that rules may look at: what each is, and the values that it can have. */
import type { acceptedUnits } from '@liftledger/calc'

type Dimension = Parameters<typeof acceptedUnits>[0]

export type FactKind =
  | { readonly kind: 'code'; readonly values?: readonly string[] }
  | { readonly kind: 'number'; readonly dimension?: Dimension; readonly whole?: true }
  | { readonly kind: 'flag' }
  | { readonly kind: 'qualifications' }
  | { readonly kind: 'certificates' }

interface Fact {
  readonly says: string
  readonly is: FactKind
}

/** Power methods by which timings are read. */
export const TIMED_METHODS = ['meter-revolutions', 'meter-pulses'] as const
const DRIVERS = ['electric-motor', 'engine'] as const
export const PLANT_KINDS_OF_RULES = ['well', 'booster'] as const

const code = (says: string, values?: readonly string[]): Fact => ({
  says,
  is: { kind: 'code', ...(values !== undefined && { values }) },
})

/** Method ids grow with the editions: those of flow and power are a list to suggest from, not to refuse by. */
export const FACTS = {
  'plant.region': code('Region of the plant'),
  'plant.use': code('What the water is for'),
  'plant.kind': code('Kind of plant', PLANT_KINDS_OF_RULES),
  'plant.driver': code('What drives the pump', DRIVERS),
  'plant.ratedPower': { says: 'Rated power of the driver', is: { kind: 'number', dimension: 'power' } },
  daysSinceLastPaidTest: { says: 'Days since the last paid test of the plant', is: { kind: 'number', whole: true } },
  daysFromTestToClaim: { says: 'Days from the test to the claim', is: { kind: 'number', whole: true } },
  'tester.qualifications': { says: 'Qualifications of the tester', is: { kind: 'qualifications' } },
  'instruments.calibration': { says: 'Certificates of the instruments', is: { kind: 'certificates' } },
  'customer.consent': { says: 'The grower’s consent', is: { kind: 'flag' } },
  'flow.method': code('How flow was measured'),
  'power.method': code('How input power was measured'),
  'overallEfficiency.expandedRelative': {
    says: 'Expanded uncertainty of overall plant efficiency, relative',
    is: { kind: 'number', dimension: 'ratio' },
  },
  straightUpstreamDiameters: { says: 'Straight pipe upstream, in diameters', is: { kind: 'number' } },
  runs: { says: 'Operating conditions tested', is: { kind: 'number', whole: true } },
} as const satisfies Record<string, Fact>

export type FactName = keyof typeof FACTS

export const isFact = (name: string): name is FactName => Object.hasOwn(FACTS, name)
export const factKind = (name: FactName): FactKind => FACTS[name].is

/** What can only be there for some plants and methods: the facts it takes, and the values that give it. */
export const GIVEN_BY: Readonly<Record<string, { readonly fact: FactName; readonly values: readonly string[] }>> = {
  standingLevel: { fact: 'plant.kind', values: ['well'] },
  'pumpingLevel.series': { fact: 'plant.kind', values: ['well'] },
  'power.timings': { fact: 'power.method', values: TIMED_METHODS },
  // A utility meter has a face; an engine has none.
  'evidence.meter-face': { fact: 'plant.driver', values: ['electric-motor'] },
}
