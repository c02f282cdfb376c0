/** The demo’s years of visits: invented plants around those of the field sheet. */
import { simulateBasin } from '@liftledger/simulator'
import { registerSimulated, submitVisits } from './fill.ts'

/** About a thousand tests in three years, one of thirty with a clumsy mistake, one tester with a biased instrument. */
const DEMO = { seed: 2026, plants: 325, years: 3, firms: 4, testersPerFirm: 3, biased: 1, mistakes: 1 / 30 } as const

export interface SimulatedYears {
  readonly firms: number
  readonly plants: number
  readonly tests: number
  readonly firstYear: number
  readonly lastYear: number
  /** Tests by what the record makes of them. */
  readonly soundness: Readonly<Record<string, number>>
  readonly seconds: number
}

/** Registers the simulated basin and submits its visits. */
export async function simulateYears(url: string, adminKey: string): Promise<SimulatedYears> {
  const started = performance.now()
  const { basin, visits } = simulateBasin(DEMO)
  const firms = await registerSimulated(url, adminKey, basin)
  const soundness: Record<string, number> = {}
  const tests = await submitVisits(firms, visits, {
    onTest: (test) => {
      soundness[test.soundness] = (soundness[test.soundness] ?? 0) + 1
    },
  })
  const { firstYear, years } = basin.options
  return {
    firms: firms.size,
    plants: basin.plants.length,
    tests,
    firstYear,
    lastYear: firstYear + years - 1,
    soundness,
    seconds: (performance.now() - started) / 1000,
  }
}
