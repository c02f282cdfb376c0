/** The demo’s years of visits: invented plants around those of the field sheet. */
import type { Liftledger } from '@liftledger/sdk'
import { type SimulatedPlant, simulateBasin } from '@liftledger/simulator'
import { registerSimulated, type Submitted, submitVisits } from './fill.ts'
import { giveTests, type SeededProgram } from './programs.ts'

/** About a thousand tests in three years, one of thirty with a clumsy mistake, one tester with a biased instrument. */
export const DEMO = {
  seed: 2026,
  plants: 325,
  years: 3,
  firms: 4,
  testersPerFirm: 3,
  biased: 1,
  mistakes: 1 / 30,
} as const

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

/** Growers of one plant in so many give their tests to programs; in these regions to the second one too. */
const GIVING = 16
const OF_SECOND: readonly string[] = ['Lower-Ambermoor', 'Thornlow']

/** Programs that the tests of a plant are given to. */
function programsOf(
  { code, region }: { readonly code: string; readonly region: string },
  all: readonly SeededProgram[],
) {
  if (Number(code.replaceAll(/\D/g, '')) % GIVING !== 0) return []
  return OF_SECOND.includes(region) ? all : all.slice(0, 1)
}

/** Registers the simulated basin, submits its visits and gives some of them to programs. */
export async function simulateYears(
  url: string,
  adminKey: string,
  programs: readonly SeededProgram[],
): Promise<SimulatedYears> {
  const started = performance.now()
  const { basin, visits } = simulateBasin(DEMO)
  const firms = await registerSimulated(url, adminKey, basin)
  const soundness: Record<string, number> = {}
  const given = new Map<
    string,
    { readonly plant: SimulatedPlant; readonly firm: Liftledger; readonly tests: Submitted[] }
  >()
  const tests = await submitVisits(firms, visits, {
    onTest: (test, { plant, firm }) => {
      soundness[test.soundness] = (soundness[test.soundness] ?? 0) + 1
      // Two firms may test one plant.
      const name = `${firm.code}/${plant.code}`
      const ofPlant = given.get(name) ?? { plant, firm: firms.get(firm.code)!.client, tests: [] }
      given.set(name, ofPlant)
      ofPlant.tests.push(test)
    },
  })
  for (const { plant, firm, tests: ofPlant } of given.values())
    await giveTests(firm, programsOf(plant, programs), ofPlant)
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
