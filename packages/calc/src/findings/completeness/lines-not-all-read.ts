import { counted } from '../counted.ts'
import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const linesNotAllRead = defineFinding({
  id: 'lines-not-all-read',
  group: 'completeness',
  severity: 'caution',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Voltage or current was read on fewer lines than the supply has.',
  why: 'The lines of a supply are seldom loaded alike, and unbalance can’t be seen.',
  needs: ['linesOfSupply', 'fewestLinesRead'],
  limits: [],
  raised: ({ linesOfSupply, fewestLinesRead }) => fewestLinesRead < linesOfSupply,
  message: ({ linesOfSupply, fewestLinesRead }) =>
    `Voltage or current of ${counted(fewestLinesRead, 'line')} was read by qualified staff, of ${linesOfSupply} that the supply has; the mean of those read was used.`,
  remedy: 'Have the other lines read by qualified staff, or time the utility meter from outside.',
  cautions: ['electrical-panel', 'arc-flash', 'alone'],
  source: commonPractice('the mean of the three lines is used'),
  examples: {
    passes: [
      { linesOfSupply: 3, fewestLinesRead: 3 },
      { linesOfSupply: 1, fewestLinesRead: 1 },
    ],
    raises: [{ linesOfSupply: 3, fewestLinesRead: 1 }],
  },
})
