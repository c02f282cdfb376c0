/** Help for tests: visits with every member of the newer methods filled in. */
import type { Context } from './context.ts'
import type { Sheet } from './sheet.ts'
import { flowBy, goldenCase, powerBy } from './testing.ts'

interface TestedVisit {
  readonly sheet: Sheet
  readonly context: Context
}

const inches = (value: number) => ({ value, unit: 'in' as const })
const feet = (value: number) => ({ value, unit: 'ft' as const })
const rated = (value: number) => ({ value, unit: '1' as const })
const volts = (...values: number[]) => values.map((value) => ({ value, unit: 'V' as const }))
const amperes = (...values: number[]) => values.map((value) => ({ value, unit: 'A' as const }))
const powerOf = (value: number) => ({ value, unit: 'kW' as const })

/** Volts and amperes that agree with the power of the visit. */
const electrical = (kilowatts: number) => ({
  point: 'supply' as const,
  phases: 'three' as const,
  voltages: volts(478, 480, 481),
  currents: amperes(...[0.99, 1.01, 1].map((share) => (share * kilowatts * 1000) / (Math.sqrt(3) * 479.7 * 0.85))),
  powerFactor: rated(0.85),
  frequencies: [
    { value: 60, unit: 'Hz' as const },
    { value: 59.9, unit: 'Hz' as const },
  ],
})

/** A booster over a pond: meter rate, display, a second opinion on power, water leaving before the meter. */
export function boosterOverPond(): TestedVisit {
  const { sheet, context } = goldenCase('SHEET-04')
  const run = sheet.runs[0]!
  const flow = flowBy(run, 'meter-rate')
  sheet.purpose = 'full'
  sheet.instruments!.power = 'clamp-1'
  sheet.instruments!.speed = 'tach-1'
  context.instruments.push({ code: 'clamp-1', kind: 'power-clamp', resolution: { value: 0.1, unit: 'A' } })
  flow.correctionFactor = rated(0.99)
  flow.instrument = 'insertion-1'
  flow.meterSerial = 'F-77'
  flow.pipe = {
    outsideDiameter: inches(8.625),
    wallThickness: inches(0.3),
    liningThickness: inches(0.02),
    diameterBasis: 'outside-and-wall',
    runsFull: true,
    straightUpstream: inches(50),
    straightDownstream: inches(30),
  }
  run.flowLeavingBeforeMeter = { value: 12, unit: 'gpm' }
  run.electrical = electrical(29.1)
  run.speeds = [
    { value: 1765, unit: 'rpm' },
    { value: 1766, unit: 'rpm' },
  ]
  const display = powerBy(run, 'meter-display')
  display.meterSerial = 'M-4'
  display.generationBehindMeter = false
  display.otherLoads = 'measured'
  display.otherLoad = powerOf(0.4)
  const suction = run.suction!
  if (suction.method === 'open-surface') suction.vacuumCheck!.gaugeZero = { value: 0, unit: 'inHg' }
  sheet.economics!.annualHours = { value: 1900, unit: 'h' }
  sheet.economics!.annualEnergy = { value: 62_000, unit: 'kWh' }
  return { sheet, context }
}

/** A booster between two gauges: a clamp-on meter and blinks; then the velocity of the clamp-on meter, behind a drive. */
export function boosterInPipe(): TestedVisit {
  const { sheet, context } = goldenCase('SHEET-05')
  const run = sheet.runs[0]!
  const suction = run.suction!
  if (suction.method === 'gauge') {
    suction.gaugeZero = { value: 0.2, unit: 'psi' }
    suction.swing = { value: 0.4, unit: 'psi' }
  }
  run.dischargePressure!.insideDiameterAtTap = inches(9.98)
  const second = structuredClone(run)
  second.dutyChangedAt = '2026-05-18T07:40:00-07:00'
  second.pumpStartedAt = '2026-05-18T06:55:00-07:00'
  delete second.startedAt
  delete second.endedAt
  second.flow = {
    method: 'ultrasonic-velocity',
    pipe: flowBy(run, 'ultrasonic-rate').pipe!,
    signalShare: { value: 71, unit: '%' },
    velocities: [6.7, 6.8, 6.7].map((value) => ({ value, unit: 'ft/s' as const })),
    correctionFactor: rated(1.004),
  }
  second.power = {
    method: 'volts-amps',
    point: 'drive-output',
    phases: 'three',
    voltages: volts(452, 455, 454),
    currents: amperes(76.2, 77.1, 76.4),
    powerFactor: rated(0.86),
    instrument: 'clamp-1',
    otherLoads: 'measured',
    otherLoad: powerOf(0.6),
  }
  sheet.runs.push(second)
  context.plant.equipment!.drive = 'variable-frequency'
  context.plant.equipment!.driveEfficiency = 0.96
  context.instruments.push({ code: 'clamp-1', kind: 'power-clamp', resolution: { value: 1, unit: 'V' } })
  return { sheet, context }
}

/** A well: register with a rollover and one phase; an insertion meter and pulses; a logarithmic traverse. */
export function wellByOtherMethods(): TestedVisit {
  const { sheet, context } = goldenCase('SHEET-02')
  const run = sheet.runs[0]!
  const { pipe } = flowBy(run, 'ultrasonic-rate')
  const pulses = structuredClone(powerBy(run, 'meter-pulses'))
  const second = structuredClone(run)
  const third = structuredClone(run)
  run.flow = {
    method: 'meter-totaliser',
    pipe: pipe!,
    start: { value: 999.96, unit: 'm3' },
    end: { value: 3.684, unit: 'm3' },
    step: { value: 0.001, unit: 'm3' },
    modulus: { value: 1000, unit: 'm3' },
    multiplier: rated(10),
    elapsed: { value: 10, unit: 'min' },
    correctionFactor: rated(1.01),
    meterSerial: 'F-2',
  }
  run.power = {
    method: 'volts-amps',
    point: 'supply',
    phases: 'single',
    voltages: volts(2400),
    currents: amperes(29.7),
    powerFactor: rated(0.86),
  }
  second.flow = {
    method: 'insertion-velocity',
    pipe: pipe!,
    profileFactor: rated(0.83),
    velocities: [1.48, 1.46, 1.47].map((value) => ({ value, unit: 'm/s' as const })),
    correctionFactor: rated(0.995),
  }
  second.power = { ...pulses, otherLoads: 'measured', otherLoad: powerOf(0.3) }
  second.electrical = electrical(61.5)
  third.flow = {
    method: 'pitot-traverse',
    rule: 'log-linear',
    pipe: pipe!,
    tube: { coefficient: rated(0.99) },
    manometer: { fluid: 'air-over-water', resolution: inches(0.05) },
    diameters: [2.45, 2.5].map((first) => ({
      points: [first, 3.5, 4.2, 4.9, 5, 4.3, 3.6, 2.6].map((value) => ({ value, unit: 'in' as const })),
      centre: inches(5.4),
    })),
  }
  third.dischargePressure!.gaugeHeightAboveDischargeCentre = feet(2)
  sheet.runs.push(second, third)
  return { sheet, context }
}

/** A well through three pipes by three methods, beside a clamp-on meter and the register of the grower. */
export function wellThroughPipes(): TestedVisit {
  const { sheet, context } = goldenCase('SHEET-02')
  const run = sheet.runs[0]!
  context.instruments.push({ code: 'pitot-2', kind: 'pitot-tube-and-manometer' })
  const steel = {
    outsideDiameter: inches(6.625),
    wallThickness: inches(0.25),
    diameterBasis: 'outside-and-wall' as const,
  }
  const gpm = (value: number) => ({ value, unit: 'gpm' as const })
  run.flow = {
    method: 'several-pipes',
    pipes: [
      {
        method: 'centre-line-velocity',
        pipe: {
          outsideCircumference: inches(33.8),
          wallThickness: inches(0.3),
          liningThickness: inches(0.1),
          probeStem: { width: inches(0.375), immersion: inches(5) },
          diameterBasis: 'outside-and-wall',
          straightUpstream: feet(4),
        },
        tube: { coefficient: rated(0.99), instrument: 'pitot-2' },
        manometer: {
          fluid: 'liquid-under-water',
          relativeDensity: rated(2.95),
          zeroBefore: inches(0),
          zeroAfter: inches(0.1),
        },
        centre: { low: 1.9, high: 2.2, unit: 'in' },
        pipeFactor: rated(0.81),
      },
      {
        method: 'ultrasonic-rate',
        pipe: steel,
        rates: [gpm(402), gpm(399)],
        zeroFlow: gpm(1.5),
        signalShare: rated(0.8),
        deviceDiameter: inches(6.125),
        pipeMaterial: 'steel',
        lining: 'epoxy',
        mounting: 'v',
        spacingAsked: inches(5.1),
        spacingSet: inches(5.2),
      },
      { method: 'meter-rate', rates: [gpm(88)], meterSerial: 'F-3' },
    ],
  }
  run.comparisonFlow = {
    method: 'ultrasonic-velocity',
    pipe: steel,
    velocities: [{ value: 9.7, unit: 'ft/s' as const }],
    zeroFlow: { value: -0.02, unit: 'ft/s' },
    mounting: 'z',
  }
  run.growersMeter = {
    method: 'meter-totaliser',
    start: { value: 10_420, unit: 'gal' },
    end: { value: 24_100, unit: 'gal' },
    multiplier: rated(1),
    elapsed: { value: 10, unit: 'min' },
  }
  run.seenInDischarge = ['air', 'sand']
  run.dischargePressure!.insideDiameterAtTap = inches(10)
  return { sheet, context }
}
