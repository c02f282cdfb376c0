/** A test beside its re-test, in figures and in words. */
import type { Sheet } from '@liftledger/calc'
import type { ReadTest } from '../field-tests/load.ts'
import { type Compared, type Difference, daysBetween, differencesOf } from './difference.ts'
import type { QualityVisitDetail } from './schemas.ts'

const WORDS: Readonly<Record<Compared, string>> = {
  flow: 'flow',
  'total-dynamic-head': 'total dynamic head',
  'input-power': 'input power',
  'overall-plant-efficiency': 'overall plant efficiency',
}

const runOf = ({ normalRun = 0 }: Sheet): number => normalRun

/** Both were read off the same meter where the power of both comes from the meter of the utility. */
const readsUtilityMeter = ({ runs, normalRun = 0 }: Sheet): boolean =>
  runs[normalRun]?.power?.method.startsWith('meter-') === true

function remarkOf(differences: readonly Difference[], sharedMeter: boolean): string {
  const apart = differences.filter(({ agrees }) => !agrees).map(({ quantity }) => WORDS[quantity])
  const found =
    apart.length === 0
      ? 'The two tests agree within what they state.'
      : `The two tests differ in ${apart.join(', ')} by more than they state. That is no fault of either: it is a reason to compare the instruments.`
  const meter = sharedMeter
    ? ' Both read input power off the meter of the utility, whose own error is in both and drops out: the intervals of power and efficiency are wider than they need be.'
    : ''
  return found + meter
}

export function comparisonOf(original: ReadTest, again: ReadTest): NonNullable<QualityVisitDetail['comparison']> {
  const asTest = ({ sheet, evaluation }: ReadTest) => ({
    day: sheet.testedOn,
    run: runOf(sheet),
    results: evaluation.results,
  })
  const differences = differencesOf(asTest(original), asTest(again))
  return {
    days: Math.round(daysBetween(original.sheet.testedOn, again.sheet.testedOn)),
    differences,
    remark: remarkOf(differences, readsUtilityMeter(original.sheet) && readsUtilityMeter(again.sheet)),
  }
}

/** What keeps a test from being the re-test of another; undefined where nothing does. */
export function unfitBecause(
  original: ReadTest,
  again: ReadTest,
  asked: { readonly firm: string; readonly from: string; readonly until: string },
): string | undefined {
  const day = again.sheet.testedOn
  if (again.stored.firmId !== asked.firm) return 'it is not a test of the firm that was asked'
  if (again.stored.plantId !== original.stored.plantId) return 'it is a test of another plant'
  if (day < asked.from || day > asked.until) return `it is of ${day}, and ${asked.from} to ${asked.until} was asked for`
  if (again.standing.soundness === 'unsound')
    return 'a finding rejects it, or one that holds it up was decided against it'
  const [before, after] = [original, again].map(({ context }) => context.plant.equipment?.revision)
  if (before !== after) return 'the equipment of the plant was changed between the two tests'
  return undefined
}
