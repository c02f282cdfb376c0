import type { Facts } from '../facts.ts'
import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

/** The utility meter is named by the plant’s record, so a disk meter needs no instrument of the firm. */
const levelUnnamed = ({ pumpingLevel, standingLevel, levelInstrument }: Facts): boolean =>
  levelInstrument === undefined && (pumpingLevel !== undefined || standingLevel !== undefined)
const pressureUnnamed = ({ dischargePressure, pressureInstrument }: Facts): boolean =>
  pressureInstrument === undefined && dischargePressure !== undefined
const flowUnnamed = ({ flowRead, flowInstrument }: Facts): boolean => flowInstrument === undefined && flowRead === true

export const instrumentNotNamed = defineFinding({
  id: 'instrument-not-named',
  group: 'completeness',
  severity: 'caution',
  place: '/instruments',
  decidedFrom: 'sheet',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'A reading of level, pressure or flow names no instrument.',
  why: 'Its calibration and accuracy can’t be applied; values common for its kind are used.',
  needs: [],
  limits: [],
  raised: (facts) => levelUnnamed(facts) || pressureUnnamed(facts) || flowUnnamed(facts),
  message: (facts) => {
    const readings = [
      levelUnnamed(facts) ? 'the water levels' : '',
      pressureUnnamed(facts) ? 'the discharge pressure' : '',
      flowUnnamed(facts) ? 'the flow' : '',
    ].filter((reading) => reading !== '')
    return `No instrument is named for ${readings.join(' and ')}; the uncertainty used is the one common for its kind.`
  },
  remedy: 'Name the instrument by its code; register it with its certificate if it is not registered yet.',
  source: ourJudgement(
    'what a reading rests on is asked first; without the name the value is not wrong, only less known',
  ),
  examples: {
    passes: [
      {
        pumpingLevel: 43.2,
        levelInstrument: 'SND-2',
        dischargePressure: 280e3,
        pressureInstrument: 'GAU-7',
        flowRead: true,
        flowInstrument: 'PIT-1',
      },
      { flowRead: false },
    ],
    raises: [
      { pumpingLevel: 43.2 },
      { standingLevel: 36.1 },
      { dischargePressure: 280e3, levelInstrument: 'SND-2' },
      { flowRead: true, pumpingLevel: 43.2, dischargePressure: 280e3 },
    ],
  },
})
