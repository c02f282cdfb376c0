/** Results by tester on the wire. */
import { type Static, type TProperties, Type } from 'typebox'
import { Id } from '../../http/ids.ts'
import { PLACES } from './funnel.ts'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })
const Count = (description: string) => Type.Integer({ minimum: 0, maximum: Number.MAX_SAFE_INTEGER, description })
const Share = (description: string) => Type.Number({ description })

const testerId = Id('tester', 'Id of the tester.')
const firmId = Id('firm', 'Id of the tester’s firm.')

/** The sentence that goes with every figure about testers. */
export const NO_FAULT =
  'A difference is no fault of a tester: it is a reason to compare instruments. Beyond the inner limit lie 5 of 100 testers by chance alone, beyond the outer one 2 of 1000.'

export const TesterResult = part('TesterResult', 'What a tester finds beside the others.', {
  testerId,
  firmId,
  count: Count('Tests, or pairs of tests, that it rests on.'),
  plants: Count('Plants among them.'),
  difference: Share(
    'How much more efficiency the tester finds than the middle of the testers on like plants, as a share: 0.05 is 5 % of the efficiency.',
  ),
  low: Share('Lower end of the 95 % interval of the difference, as a share.'),
  high: Share('Upper end of the 95 % interval of the difference, as a share.'),
  standardError: Share('Standard error of the difference by chance alone, as a share.'),
  statedUncertainty: Share(
    'Mean standard uncertainty that the tests state, as a share of the efficiency; a test by a flow meter of the plant counts as 0.',
  ),
  score: Share('Ratio of the difference to its standard error, the spread between testers included.'),
  place: Type.Enum([...PLACES], {
    description: '`within` both limits, `beyond-inner`, or `beyond-outer`: beyond both.',
  }),
})

export const TesterTooFew = part('TesterTooFew', 'A tester of whom there is too little to say anything.', {
  testerId,
  firmId,
  count: Count('Tests, or pairs of tests, that there are.'),
})

export const TesterComparison = part('TesterComparison', 'Testers held against limits.', {
  leastCount: Count('Tests, or pairs of tests, below which nothing is said of a tester.'),
  commonShare: Type.Optional(
    Share(
      'How much testers differ beyond chance, as a share of the uncertainty that their tests state; 0.5 at least. Absent with too few testers.',
    ),
  ),
  innerLimit: Type.Optional(
    Share('Inner limit, as a ratio to the standard error: 2, and more with few testers. Absent with too few testers.'),
  ),
  outerLimit: Type.Optional(
    Share(
      'Outer limit, as a ratio to the standard error: 3.09, and more with few testers. Absent with too few testers.',
    ),
  ),
  testers: Type.Array(TesterResult, { maxItems: 20_000, description: 'By size of the score, largest first.' }),
  tooFew: Type.Array(TesterTooFew, { maxItems: 20_000, description: 'Testers of whom nothing is said yet.' }),
})

export const TesterStatistics = part('TesterStatistics', 'Whether testers find alike.', {
  driver: Type.String({ maxLength: 40, description: 'Driver of the plants; others are never pooled with them.' }),
  of: Type.Enum(['tests-given-to-the-program', 'all-tests'], { description: 'Which tests these are.' }),
  ledgerSize: Count('Entries of the ledger that are in the figures.'),
  tests: Count('Tests that count.'),
  leftOut: part('TestersLeftOut', 'Tests that don’t count, by reason.', {
    inQuestion: Count('A finding holds them up.'),
    unsound: Count('A finding rejects them, or a hold was decided against.'),
    superseded: Count('A later version took their place.'),
    withdrawn: Count('They were taken back.'),
    withoutEfficiency: Count('Overall plant efficiency could not be told.'),
  }),
  explained: Type.Optional(
    part('TestersExplained', 'What kind, power class, region and age of the equipment explain of the efficiency.', {
      deviationBefore: Share('Standard deviation of the efficiency over all tests, as a share: of its logarithm.'),
      deviationAfter: Share('What is left of it after these, likewise as a share.'),
      perYearOfAge: Share('Change of the efficiency with each year of age of the equipment, as a share.'),
      perYearOfAgeError: Share('Standard error of that change, as a share.'),
    }),
  ),
  allTests: TesterComparison,
  samePlants: TesterComparison,
  remark: Type.String({ maxLength: 400, description: 'What a difference means.' }),
})
export type TesterStatistics = Static<typeof TesterStatistics>
export type TesterComparison = Static<typeof TesterComparison>
