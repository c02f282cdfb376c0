/**
 * `evaluate.vs-units-library`: the whole evaluation, with uncertainty, findings and advice, beside the same chain of
 * formulas in a general library of units and expressions, once for its values only and once with sensitivities.
 */
import { evaluate, latestEdition, traceQuantity } from '@liftledger/calc'
import { context, sheet } from './example.ts'
import { type LibraryChain, libraryChain, math } from './library-chain.ts'
import { alternate, type Figure, perCpuSecond, ratios, spreadOf, tell, whole } from './rounds.ts'

/** Values must agree to this, relative; sensitivities, which the library has by differences, to the other. */
const VALUES_WITHIN = 1e-9
const SENSITIVITIES_WITHIN = 1e-5

const differs = (here: number, there: number, within: number): boolean =>
  !(Math.abs(here - there) <= within * Math.abs(here))

/** Refuses to compare speeds of different answers: every result, and every sensitivity of overall plant efficiency. */
function expectSameAnswers(chain: LibraryChain): void {
  const { results } = evaluate(sheet, context, latestEdition)
  const values = chain.values()
  const missing = results.filter(({ quantity }) => !chain.quantities.includes(quantity))
  if (missing.length > 0) throw new Error(`The library's chain lacks ${missing.map((one) => one.quantity).join(', ')}.`)
  for (const { quantity, value } of results) {
    const theirs = values[chain.quantities.indexOf(quantity)]!
    if (differs(value, theirs, VALUES_WITHIN)) throw new Error(`${quantity} is ${value} here and ${theirs} there.`)
  }
  const quantity = 'overall-plant-efficiency'
  const trace = traceQuantity(sheet, context, latestEdition, { quantity, run: 0 })!
  const sensitivities = chain.sensitivities()
  for (const { reading } of trace.nodes) {
    if (reading === undefined || !reading.place.startsWith('/')) continue
    const theirs = sensitivities[chain.places.indexOf(reading.place)]?.[chain.quantities.indexOf(quantity)]
    if (theirs === undefined || differs(reading.sensitivity, theirs, SENSITIVITIES_WITHIN))
      throw new Error(`The sensitivity to ${reading.place} is ${reading.sensitivity} here and ${theirs} there.`)
  }
}

export async function evaluateAgainstUnitsLibrary(quick: boolean): Promise<Figure[]> {
  const { equipment } = context.plant
  const chain = libraryChain(sheet, {
    efficiency: equipment!.motorEfficiency!,
    ratedPower: equipment!.ratedPower!,
    bowlDepth: equipment!.bowlDepth!,
    barometricPressurePa: latestEdition.settings.barometricPressureNotReadPa,
  })
  expectSameAnswers(chain)
  const ms = quick ? 250 : 2000
  const evaluation = () => void evaluate(sheet, context, latestEdition)
  const values = () => void chain.values()
  const sensitivities = () => void chain.sensitivities()
  for (const work of [evaluation, values, sensitivities]) perCpuSecond(work, 500)
  const [ours, theirValues, theirSensitivities] = await alternate(
    [evaluation, values, sensitivities].map((work) => async () => perCpuSecond(work, ms).perCpuS),
  )
  const rate = (rates: readonly number[] | undefined): string => `${whole(spreadOf(rates!).median)}/s`
  const baseline = `mathjs ${math.version}, expressions compiled, readings as its units, one scope`
  const figure = { id: 'evaluate.vs-units-library', unit: '×', goal: 100, better: 'higher' } as const
  const full = { ...figure, id: 'evaluate.vs-units-library.with-sensitivities', goal: null } as const
  const onValues = ratios(ours!, theirValues!)
  const onSensitivities = ratios(ours!, theirSensitivities!)
  tell(figure, onValues, [
    `ours with uncertainty, findings and advice, ${rate(ours)} ÷ values only, ${rate(theirValues)}: ${baseline}`,
    `${chain.quantities.length} quantities agree within ${VALUES_WITHIN}`,
  ])
  tell(full, onSensitivities, [
    `the same ÷ values and their sensitivities to ${chain.places.length} readings by central differences, ${rate(theirSensitivities)}`,
    `sensitivities of overall plant efficiency agree within ${SENSITIVITIES_WITHIN}`,
  ])
  return [
    { ...figure, value: onValues.median },
    { ...full, value: onSensitivities.median },
  ]
}
