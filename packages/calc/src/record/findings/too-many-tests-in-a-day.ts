import { exceeds } from '../../findings/finding.ts'
import { ourJudgement } from '../../findings/sources.ts'
import type { Comparison } from '../comparison.ts'
import { defineRecordFinding, type Figures } from '../record-finding.ts'

interface Day extends Figures {
  readonly testedOn: string
  /** Tests of the tester on this day, this one among them. */
  readonly tests: number
}

const example = (tests: number): Day => ({ against: ['other'], ofOtherFirm: false, testedOn: '2026-05-12', tests })

export const tooManyTestsInADay = defineRecordFinding({
  id: 'too-many-tests-in-a-day',
  group: 'time',
  severity: 'hold',
  place: '/testedOn',
  rule: 'One tester has more tests on one day than can be made.',
  why: 'A whole test takes an hour with setting up and waiting for a steady level, and there are roads between plants.',
  compared: (comparison: Comparison): Day[] => {
    const { testedOn } = comparison.subject.sheet
    const sameDay = comparison.record.ofTester.filter(({ sheet }) => sheet.testedOn === testedOn)
    return [{ ...comparison.with(...sameDay), testedOn, tests: sameDay.length + 1 }]
  },
  measures: { tests: '1' },
  limits: ['maxTestsPerDay'],
  raised: ({ tests }, { maxTestsPerDay }) => exceeds(tests, maxTestsPerDay),
  message: ({ tests, testedOn }, say, { maxTestsPerDay }) =>
    `The tester has ${tests} tests on ${testedOn}; more than ${say.number(maxTestsPerDay)} can hardly be made in a day.`,
  remedy: 'Check the day and the tester of these tests, and correct what is wrong by a revision.',
  source: ourJudgement('ten tests of one hour leave no time for the road; boosters side by side may allow eight'),
  examples: { passes: [example(1), example(10)], raises: [example(11)] },
})
