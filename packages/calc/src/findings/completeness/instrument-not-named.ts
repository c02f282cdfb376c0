import type { Facts } from '../facts.ts'
import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

/** A meter of the plant is named by the plant’s record or its serial number: it needs no instrument of the firm. */
const levelUnnamed = ({ pumpingLevel, standingLevel, levelInstrument }: Facts): boolean =>
  levelInstrument === undefined && (pumpingLevel !== undefined || standingLevel !== undefined)
const pressureUnnamed = ({ dischargePressure, pressureInstrument }: Facts): boolean =>
  pressureInstrument === undefined && dischargePressure !== undefined
const suctionUnnamed = ({ suctionGaugeRead, suctionInstrument }: Facts): boolean =>
  suctionInstrument === undefined && suctionGaugeRead === true
const clampUnnamed = ({ voltsAmps, clampInstrument }: Facts): boolean =>
  clampInstrument === undefined && voltsAmps === true
const flowUnnamed = ({ flowRead, flowInstrument }: Facts): boolean => flowInstrument === undefined && flowRead === true

export const instrumentNotNamed = defineFinding({
  id: 'instrument-not-named',
  group: 'completeness',
  severity: 'caution',
  place: '/instruments',
  decidedFrom: 'sheet',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'A reading of level, pressure, flow or electrical power names no instrument.',
  why: 'Its calibration and accuracy can’t be applied; values common for its kind are used.',
  needs: [],
  limits: [],
  raised: (facts) =>
    levelUnnamed(facts) || pressureUnnamed(facts) || suctionUnnamed(facts) || flowUnnamed(facts) || clampUnnamed(facts),
  message: (facts) => {
    const readings = [
      levelUnnamed(facts) ? 'the water levels' : '',
      pressureUnnamed(facts) ? 'the discharge pressure' : '',
      suctionUnnamed(facts) ? 'the suction pressure' : '',
      flowUnnamed(facts) ? 'the flow' : '',
      clampUnnamed(facts) ? 'the electrical readings' : '',
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
      { suctionGaugeRead: true, suctionInstrument: 'GAU-7' },
      { voltsAmps: true, clampInstrument: 'CLA-1' },
    ],
    raises: [
      { pumpingLevel: 43.2 },
      { standingLevel: 36.1 },
      { suctionGaugeRead: true },
      { voltsAmps: true },
      { dischargePressure: 280e3, levelInstrument: 'SND-2' },
      { flowRead: true, pumpingLevel: 43.2, dischargePressure: 280e3 },
    ],
  },
})
