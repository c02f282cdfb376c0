/** Many basins added up: who was found, and who was taken for biased and was not. */
import { COMPARED, type Compared } from '../../packages/service/src/quality-visits/difference.ts'
import { outcomeOf, type Trial } from './basin.ts'

export interface Rates {
  /** Testers without a bias of whom something was said, and how many of them lie beyond each limit. */
  readonly honest: number
  readonly beyondInner: number
  readonly beyondOuter: number
  readonly biased: number
  readonly found: number
}

export interface Tally {
  readonly basins: number
  readonly tests: number
  readonly visits: number
  readonly allTests: Rates
  readonly samePlants: Rates
  /** Share of E_n numbers of honest pairs within ±1. */
  readonly within: Readonly<Record<Compared, number>>
  readonly honestPairs: number
  readonly biasedPairs: number
  readonly disagreeing: Readonly<Record<Compared, number>>
}

function ratesOf(trials: readonly Trial[]): Rates {
  const told = trials.filter(({ place }) => place !== 'too-few')
  const honest = told.filter(({ biased }) => !biased)
  const beyond = (of: readonly Trial[]): number => of.filter(({ place }) => place === 'beyond-outer').length
  return {
    honest: honest.length,
    beyondInner: honest.filter(({ place }) => place !== 'within').length,
    beyondOuter: beyond(honest),
    biased: trials.filter(({ biased }) => biased).length,
    found: beyond(trials.filter(({ biased }) => biased)),
  }
}

export function tallyOf(
  seeds: readonly number[],
  bias: { readonly biased: number; readonly bias: number },
  onBasin: (seed: number) => void = () => undefined,
): Tally {
  const allTests: Trial[] = []
  const samePlants: Trial[] = []
  const each = <T>(of: (quantity: Compared) => T): Record<Compared, T> =>
    Object.fromEntries(COMPARED.map((quantity) => [quantity, of(quantity)])) as Record<Compared, T>
  const inside = each(() => 0)
  const disagreeing = each(() => 0)
  let [tests, visits, honestPairs, biasedPairs] = [0, 0, 0, 0]
  for (const seed of seeds) {
    const outcome = outcomeOf(seed, bias)
    tests += outcome.tests
    visits += outcome.visits
    honestPairs += outcome.honest.flow.length
    biasedPairs += outcome.biasedPairs
    allTests.push(...outcome.allTests)
    samePlants.push(...outcome.samePlants)
    for (const quantity of COMPARED) {
      inside[quantity] += outcome.honest[quantity].filter((en) => Math.abs(en) <= 1).length
      disagreeing[quantity] += outcome.disagreeing[quantity]
    }
    onBasin(seed)
  }
  return {
    basins: seeds.length,
    tests,
    visits,
    allTests: ratesOf(allTests),
    samePlants: ratesOf(samePlants),
    within: each((quantity) => inside[quantity] / honestPairs),
    honestPairs,
    biasedPairs,
    disagreeing,
  }
}
