/** A pitot tube moved across a pipe whose velocities are known. */
import type { Sheet } from '@liftledger/calc'
import type { Carried } from './kit.ts'
import type { Random } from './random.ts'
import { toStep, type Written, written } from './reading.ts'
import { GRAVITY, INCH } from './units.ts'

type Traverse = Extract<NonNullable<Sheet['runs'][number]['flow']>, { method: 'pitot-traverse' }>

/** Water in a full pipe: by the power law, leaning to one side, and not the same along two diameters. */
export interface Profile {
  readonly meanVelocity: number
  readonly diameter: number
  /** 7 for the well-known law of the seventh root; pipes in use lie between 6 and 10 (common practice). */
  readonly exponent: number
  /** How much the halves of each diameter differ, relative; averages out over a diameter. */
  readonly lean: readonly [number, number]
  /** How much faster the water is along the first diameter than along the second, at the wall; averages out over both. */
  readonly flattening: number
}

export const drawProfile = (random: Random, meanVelocity: number, diameter: number): Profile => ({
  meanVelocity,
  diameter,
  exponent: random.between(6.6, 9.4),
  lean: [random.normal(0.03), random.normal(0.03)],
  flattening: random.normal(0.012),
})

/** Velocity at a distance from the near wall, as a share of the diameter, along one of two diameters. */
export function velocityAt(profile: Profile, share: number, along: 0 | 1): number {
  const { exponent: n } = profile
  const fromWall = Math.max(1e-4, Math.min(share, 1 - share))
  const side = 1 - 2 * share
  const centre = (profile.meanVelocity * (n + 1) * (2 * n + 1)) / (2 * n * n)
  const bent = 1 + profile.lean[along] * side + (along === 0 ? 1 : -1) * profile.flattening * side * side
  return centre * (2 * fromWall) ** (1 / n) * bent
}

/** Middle of each of n rings of equal area, from wall to wall. */
function equalAreas(n: number): number[] {
  const near = Array.from({ length: n }, (_, i) => (1 - Math.sqrt((2 * (n - i) - 1) / (2 * n))) / 2)
  return [...near, ...near.map((share) => 1 - share).reverse()]
}

/** Five points on each radius after ISO 3966 (from memory). */
const LOG_LINEAR = [0.0189, 0.0765, 0.1525, 0.2171, 0.3612]
const RULES = {
  'equal-area': equalAreas(5),
  'log-linear': [...LOG_LINEAR, ...LOG_LINEAR.map((share) => 1 - share).reverse()],
} as const

/** Gas constant of dry air in J/(kg·K), and air in a manometer at 20 °C. */
const AIR = 287.05 * 293.15

/** Steps and errors of a traverse, common practice: the tube moves by a millimetre, the columns swing. */
const POSITION_ERROR = 0.0007
const SWING_AT_A_POINT = 0.009
const FLUCTUATION = 0.003
const STEP_INCHES = 0.05

export interface TraverseScene {
  readonly profile: Profile
  readonly pressure: number
  readonly density: number
  readonly pitot: Carried & { readonly statedCoefficient: number }
  readonly pipe: Traverse['pipe']
}

export function writeTraverse(random: Random, scene: TraverseScene): Traverse {
  const { profile, pitot } = scene
  const rule = random.weighted({ 'equal-area': 4, 'log-linear': 1 })
  const buoyancy = 1 - (101_325 + scene.pressure) / AIR / scene.density
  const duringTraverse = 1 + random.normal(FLUCTUATION)
  const zero = random.pick([0, 0, 0, 0.05])
  const column = (share: number, along: 0 | 1): Written<'in'> => {
    const at = Math.min(0.9995, Math.max(0.0005, share + random.normal(POSITION_ERROR) / profile.diameter))
    const velocity = velocityAt(profile, at, along) * duringTraverse * (1 + random.normal(SWING_AT_A_POINT))
    const shown = velocity * (1 + pitot.scale)
    const metres = (shown / pitot.statedCoefficient) ** 2 / (2 * GRAVITY * buoyancy)
    return written(metres / INCH, 'in', STEP_INCHES)
  }
  const both = random.happens(0.8)
  const diameter = (along: 0 | 1) => ({
    points: RULES[rule].map((share) => column(share, along)),
    centre: column(0.5, along),
  })
  return {
    method: 'pitot-traverse',
    rule,
    pipe: scene.pipe,
    tube: { coefficient: { value: pitot.statedCoefficient, unit: '1' } },
    manometer: {
      fluid: 'air-over-water',
      resolution: { value: STEP_INCHES, unit: 'in' },
      zeroBefore: { value: 0, unit: 'in' },
      zeroAfter: { value: zero, unit: 'in' },
    },
    traverseDuration: { value: toStep(random.between(both ? 7 : 4, both ? 14 : 8), 0.5), unit: 'min' },
    diameters: both ? [diameter(0), diameter(1)] : [diameter(0)],
  }
}
