/** An act of the demo: what administrators ask of the tests, answered at this moment and with its intervals. */
import { Liftledger } from '@liftledger/sdk'
import type { SeededProgram } from './programs.ts'
import { act, bar, bold, dim, figure, paragraph, say } from './screen.ts'

type Statistics = Awaited<ReturnType<Liftledger['statistics']['read']>>
type Group = Statistics['items'][number]
type Trend = Awaited<ReturnType<Liftledger['statistics']['trends']>>['items'][number]

const J_PER_MWH = 3.6e9
const MOTORS = 'electric-motor'

/** The auditor asks over all tests; a program gets the same over those it was given. */
export async function asking(auditor: Liftledger, baseUrl: string, programs: readonly SeededProgram[]): Promise<void> {
  act('What administrators ask')
  const [byKind, whole, trends, chart] = await Promise.all([
    auditor.statistics.read({ groupBy: 'kind' }),
    auditor.statistics.read({ driver: MOTORS }),
    auditor.statistics.trends({ driver: MOTORS }),
    givenTo(baseUrl, programs[0]),
  ])
  say(`  Overall plant efficiency, one sound test a plant a year ${dim('(engines are never pooled with motors)')}`)
  say(dim(`  ${''.padEnd(28)}plants  tests      mean, 95 %   10 %  median  90 %`))
  for (const group of byKind.items) showGroup(nameOf(group), group)
  if (chart !== undefined) showGroup('given to the first program', chart)
  for (const group of whole.items) showSums(group)
  for (const trend of trends.items) showTrend(trend)
  say()
  say(
    dim(
      paragraph(
        `${byKind.notASample} Answered from ${byKind.asOf.madeFrom} as of entry ${byKind.asOf.ledgerSize} of the ledger. By region, year, power class, method, as CSV or as a picture: GET /v1/statistics`,
      ),
    ),
  )
}

/** What the program itself sees. */
async function givenTo(baseUrl: string, program: SeededProgram | undefined): Promise<Group | undefined> {
  if (program === undefined) return undefined
  const client = new Liftledger({ baseUrl, apiKey: program.key })
  return (await client.statistics.read({ driver: MOTORS })).items[0]
}

const nameOf = ({ group: { driver = '', kind = '' } }: Group): string => `${kind}s, ${driver.replace('-', ' ')}`

const percent = (ratio: number): string => figure(100 * ratio, 1)

function showGroup(name: string, { plants, tests, mean, percentiles }: Group): void {
  const at = (share: number): string => {
    const found = percentiles.find(({ percent: asked }) => asked === share)
    return found === undefined ? '–' : percent(found.value)
  }
  const { value, high } = mean ?? {}
  const interval =
    value === undefined ? '–' : `${percent(value)}${high === undefined ? '' : ` ± ${percent(high - value)}`} %`
  say(
    `  ${name.padEnd(28)}${figure(plants, 0).padStart(6)}${figure(tests, 0).padStart(7)}${interval.padStart(15)}${at(10).padStart(7)}${at(50).padStart(8)}${at(90).padStart(6)}`,
  )
}

function showSums({ weightedMean, potentialSavings, weights, leftOut, histogram }: Group): void {
  const most = Math.max(1, ...histogram.map(({ tests }) => tests))
  say()
  for (const { from, to, tests } of histogram.filter(({ tests }) => tests > 0))
    say(`  ${`${percent(from)} to ${percent(to)} %`.padStart(18)}  ${bar(tests / most, 40)} ${dim(figure(tests, 0))}`)
  say()
  if (weightedMean !== undefined) {
    say(
      `  ${bold(`${percent(weightedMean.value)} %`)} of the energy goes into the water, weighted by the energy of a year`,
    )
    say(
      dim(
        `    ${figure(weightedMean.tests, 0)} tests; the weights of ${figure(weights.bills, 0)} are from bills, ${figure(weights.none, 0)} have none and are left out`,
      ),
    )
  }
  if (potentialSavings !== undefined) {
    const { reference, energyJ, low, high, resolvedJ } = potentialSavings
    const mwh = (joules: number): string => figure(joules / J_PER_MWH, 0)
    say(
      `  ${bold(`${mwh(energyJ)} MWh a year`)} more than at ${percent(reference)} %, where the best quarter of the group begins`,
    )
    say(
      dim(
        `    ${mwh(low)} to ${mwh(high)}; ${mwh(resolvedJ)} of it is beyond the uncertainty of the tests themselves. No forecast.`,
      ),
    )
  }
  const reasons = Object.entries(leftOut)
    .filter(([, count]) => count > 0)
    .map(([reason, count]) => `${count} ${reason.replaceAll(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`)}`)
  say(dim(`  left out: ${reasons.join(', ') || 'none'}`))
}

function showTrend({ allTested, panel }: Trend): void {
  say()
  say(dim('  year    all tested          the same plants as the year before'))
  for (const { year, mean, high, tests } of allTested) {
    const same = panel.find((change) => change.year === year)
    const change =
      same === undefined
        ? ''
        : `${same.meanChange > 0 ? '+' : '−'}${percent(Math.abs(same.meanChange))}${same.high === undefined ? '' : ` ± ${percent(same.high - same.meanChange)}`} points, ${figure(same.plants, 0)} plants`
    say(
      `  ${year}    ${`${percent(mean)}${high === undefined ? '' : ` ± ${percent(high - mean)}`} %, ${figure(tests, 0)}`.padEnd(20)}${change}`,
    )
  }
}
