/**
 * `evaluate.vs-units-library`: the same chain of formulas, values only, in a general library of units and expressions.
 *
 * Both are given the same parsed sheet; the library's expressions are compiled once.
 */
import { evaluate, latestEdition } from '@liftledger/calc'
import { all, create, type MathJsInstance, type Unit } from 'mathjs'
import { context, sheet } from './example.ts'
import { type Figure, perCpuSecond, ratios, tell } from './rounds.ts'

const ROUNDS = 5

/** The chain as the method writes it, in the library's own syntax. */
const CHAIN = `
rho = (999.83952 + t*(16.945176 + t*(-7.9870401e-3 + t*(-46.170461e-6 + t*(105.56302e-9 + t*-280.54253e-12)))))/(1 + 16.87985e-3*t) * (1 kg/m^3)
p = shown - zero
rhoAir = (101325 Pa + p) / (287.05 J/(kg K) * 288.15 K)
k = 1 - rhoAir/rho
D = sqrt(d1*d2)
A = pi*D^2/4
Q = vm*A
L = hp + zd
hg = p/(rho*g) + zg
v = Q/A
hv = v^2/(2*g)
Hf = L + hg
H = Hf + hv
s = hp - hs
Pw = rho*g*Q*H
PwField = rho*g*Q*Hf
eta = Pw/P
etaField = PwField/P
S = Q/s
e = P/Q
eH = e/H
eMin = rho*g
c = e*rate`
  .trim()
  .split('\n')

/** Compiled once: what the library is given for free. */
function compileChain(math: MathJsInstance) {
  return {
    steps: CHAIN.map((line) => {
      const at = line.indexOf(' = ')
      return { name: line.slice(0, at), code: math.compile(line.slice(at + 3)) }
    }),
    point: math.compile('C*sqrt(2*g*dh*k)'),
    timing: math.compile('kh*n*M/time'),
    sum: math.compile('a + b'),
    mean: math.compile('a/count'),
  }
}

type Chain = ReturnType<typeof compileChain>
type Scope = Map<string, unknown>

/** Mean of the values a step gives for each of some readings. */
function meanOf(scope: Scope, { sum, mean }: Chain, values: readonly unknown[]): unknown {
  scope.set('a', values[0])
  for (let i = 1; i < values.length; i++) {
    scope.set('b', values[i])
    scope.set('a', sum.evaluate(scope))
  }
  scope.set('count', values.length)
  return mean.evaluate(scope)
}

/** One evaluation from the parsed sheet, values only; answers the efficiency. */
function byLibrary(math: MathJsInstance, chain: Chain): number {
  const run = sheet.runs[0]!
  const { flow, power, dischargePressure } = run
  if (flow?.method !== 'pitot-traverse' || power?.method !== 'meter-revolutions')
    throw new Error('Not the sheet of the bench.')
  const quantity = ({ value, unit }: { value: number; unit: string }): Unit =>
    math.unit(value, unit.replace('/rev', ''))
  const scope: Scope = new Map<string, unknown>([
    ['t', (run.waterTemperature!.value - 32) / 1.8],
    ['shown', quantity(dischargePressure!.reading)],
    ['zero', quantity(dischargePressure!.gaugeZero!)],
    ['zg', quantity(dischargePressure!.gaugeHeightAboveDischargeCentre!)],
    ['zd', quantity(sheet.dischargeCentreAboveDatum!)],
    ['hp', quantity(run.pumpingLevel!.reading)],
    ['hs', quantity(sheet.standingLevel!.reading)],
    ['d1', quantity(flow.pipe.insideDiameters![0]!)],
    ['d2', quantity(flow.pipe.insideDiameters![1]!)],
    ['g', math.unit(9.80665, 'm/s^2')],
    ['C', flow.tube.coefficient.value],
    ['kh', quantity(power.kh!)],
    ['M', power.multiplier!.value],
    ['rate', math.unit(sheet.economics!.energyRate!.value, '1/kWh')],
  ])
  for (const { name, code } of chain.steps) {
    // The mean velocity and the mean power are wanted from here on.
    if (name === 'Q')
      scope.set(
        'vm',
        meanOf(
          scope,
          chain,
          flow.diameters.flatMap(({ points }) =>
            points.map((point) => {
              scope.set('dh', quantity({ value: point.value!, unit: point.unit }))
              return chain.point.evaluate(scope)
            }),
          ),
        ),
      )
    if (name === 'eta')
      scope.set(
        'P',
        meanOf(
          scope,
          chain,
          power.timings.map(({ revolutions, elapsed }) => {
            scope.set('n', revolutions.value)
            scope.set('time', quantity(elapsed))
            return chain.timing.evaluate(scope)
          }),
        ),
      )
    scope.set(name, code.evaluate(scope))
  }
  const eta = scope.get('eta') as Unit | number
  return typeof eta === 'number' ? eta : eta.toNumber('')
}

export async function evaluateAgainstUnitsLibrary(quick: boolean): Promise<Figure[]> {
  const math = create(all!)
  const chain = compileChain(math)
  const theirs = () => byLibrary(math, chain)
  const ours = evaluate(sheet, context, latestEdition).results.find(
    (one) => one.quantity === 'overall-plant-efficiency',
  )!
  if (Math.abs(theirs() / ours.value - 1) > 1e-9) throw new Error(`The two disagree: ${theirs()} and ${ours.value}.`)
  const ms = quick ? 400 : 1500
  const evaluation = () => void evaluate(sheet, context, latestEdition)
  perCpuSecond(evaluation, 600)
  perCpuSecond(() => void theirs(), 600)
  const ourRates: number[] = []
  const theirRates: number[] = []
  for (let round = 0; round < ROUNDS; round++) {
    ourRates.push(perCpuSecond(evaluation, ms))
    theirRates.push(perCpuSecond(() => void theirs(), ms))
  }
  const figure = { id: 'evaluate.vs-units-library', unit: '×', goal: 100, better: 'higher' } as const
  const spread = ratios(ourRates, theirRates)
  tell(
    figure,
    spread,
    `ours with uncertainty and findings ÷ values only in mathjs ${math.version}, expressions compiled, parsed input`,
  )
  return [{ ...figure, value: spread.median }]
}
