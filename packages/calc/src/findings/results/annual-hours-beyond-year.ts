import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const annualHoursBeyondYear = defineFinding({
  id: 'annual-hours-beyond-year',
  group: 'results',
  severity: 'hold',
  place: '/economics/annualHours',
  decidedFrom: 'sheet',
  scope: 'visit',
  rule: 'The pump is said to run more hours than a year has.',
  why: 'A figure of several years or several pumps was taken for one.',
  needs: ['annualHours'],
  limits: ['hoursOfYear'],
  raised: ({ annualHours }, limits) => exceeds(annualHours, limits.hoursOfYear),
  message: ({ annualHours }, say) => `${say.number(annualHours / 3600)} hours a year were given; a year has 8760.`,
  remedy: 'Look at the unit and at the years the figure covers.',
  source: commonPractice('8760 hours a year'),
  examples: {
    passes: [{ annualHours: 31_536_000 }],
    raises: [{ annualHours: 31_600_000 }],
  },
})
