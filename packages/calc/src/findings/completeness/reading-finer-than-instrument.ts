import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const readingFinerThanInstrument = defineFinding({
  id: 'reading-finer-than-instrument',
  group: 'completeness',
  severity: 'note',
  place: '/runs/*',
  decidedFrom: 'context',
  rule: 'A reading has digits that the named instrument can’t show.',
  why: 'Digits the instrument can’t show were estimated or computed, and hide its true step.',
  needs: ['finerReading'],
  limits: [],
  raised: ({ finerReading }) => finerReading !== undefined,
  message: ({ finerReading }) => `${finerReading}.`,
  remedy: 'Write what the instrument showed, and give repeats as separate readings instead of their average.',
  source: ourJudgement('raw readings are the basis of the trace; averages made on paper are not readings'),
  examples: {
    passes: [{ finerReading: undefined }],
    raises: [
      {
        finerReading:
          'The discharge pressure is written as 41.37 psi, but the instrument gauge-100 shows steps of 0.5 psi',
      },
    ],
  },
})
