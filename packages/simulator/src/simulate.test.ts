/** The invented truth holds together by itself, and can be had again. */
import { evaluate, latestEdition } from '@liftledger/calc'
import { expect, test } from 'vitest'
import { drawBasin } from './basin.ts'
import { inputOfMotor } from './hydraulics.ts'
import { recordsOf } from './kit.ts'
import { runOn, wearOn } from './plant.ts'
import { dayOf } from './reading.ts'
import { standingDepth } from './region.ts'
import { simulateBasin, simulateVisit } from './simulate.ts'
import { densityOfWater, GRAVITY } from './units.ts'

const OPTIONS = { seed: 5, plants: 120, years: 4, firms: 6, testersPerFirm: 4 }

test('the same seed gives the same visits, another seed others', () => {
  const once = JSON.stringify([...simulateBasin(OPTIONS).visits])
  expect(JSON.stringify([...simulateBasin(OPTIONS).visits])).toBe(once)
  expect(JSON.stringify([...simulateBasin({ ...OPTIONS, seed: 6 }).visits])).not.toBe(once)
})

test('a visit depends on its appointment alone, and can be asked for by itself', () => {
  const { basin, appointments, visits } = simulateBasin(OPTIONS)
  const all = [...visits]
  const at = 137
  expect(simulateVisit(basin, appointments[at]!)).toEqual(all[at])
})

test('visits come by date, over all the years, to the plants that their firm has access to', () => {
  const { visits } = simulateBasin(OPTIONS)
  const all = [...visits]
  expect(all.map(({ testedOn }) => testedOn)).toEqual(all.map(({ testedOn }) => testedOn).sort())
  expect(new Set(all.map(({ testedOn }) => testedOn.slice(0, 4))).size).toBeGreaterThanOrEqual(OPTIONS.years)
  for (const { firm, plant, tester, sheet } of all) {
    expect(plant.firms).toContain(firm.code)
    expect(firm.testers).toContain(tester)
    expect(sheet.plant).toBe(plant.code)
  }
})

test('the pump gives what the plant asks for, and energy is conserved', () => {
  for (const { truth, plant } of simulateBasin(OPTIONS).visits) {
    const weight = densityOfWater(plant.truth.waterTemperature) * GRAVITY
    expect(truth.waterPower).toBeCloseTo(weight * truth.flow * truth.totalHead, 6)
    expect(truth.overallEfficiency).toBeCloseTo(truth.waterPower / truth.inputPower, 12)
    const shaft = truth.motorLoad * plant.truth.motor.ratedPower
    expect(inputOfMotor(plant.truth.motor, shaft)).toBeCloseTo(truth.inputPower, 6)
    expect(shaft).toBeLessThan(truth.inputPower)
    expect(truth.waterPower).toBeLessThan(shaft)
  }
})

test('head of a well is what stands between its water and its tap', () => {
  const { basin, appointments } = simulateBasin(OPTIONS)
  const wells = appointments.filter(({ plant }) => plant.kind === 'well')
  expect(wells.length).toBeGreaterThan(100)
  for (const { plant, day } of wells) {
    const region = basin.regions.find(({ code }) => code === plant.region)!
    const { point, standing, density } = runOn(plant, region, day)
    const speed = point.flow / ((Math.PI / 4) * plant.truth.pipeDiameter ** 2)
    const head =
      standing +
      point.drawdown +
      plant.truth.dischargeCentreAboveDatum +
      point.dischargePressure / (density * GRAVITY) +
      speed ** 2 / (2 * GRAVITY)
    expect(point.totalHead).toBeCloseTo(head, 9)
  }
})

test('wear takes efficiency, a repair gives it back', () => {
  const { basin } = simulateBasin({ ...OPTIONS, plants: 400 })
  const repaired = basin.plants.filter(({ repairs }) => repairs.length > 0)
  expect(repaired.length).toBeGreaterThan(10)
  for (const plant of basin.plants) {
    const { firstDay } = plant.truth
    const first = plant.truth.repaired[0]?.day ?? firstDay + 1000
    expect(wearOn(plant, first - 1)).toBeGreaterThan(wearOn(plant, firstDay))
  }
  for (const plant of repaired) {
    const region = basin.regions.find(({ code }) => code === plant.region)!
    const { day, wearLeft } = plant.truth.repaired[0]!
    if (wearLeft > wearOn(plant, day - 1)) continue
    const [before, after] = [runOn(plant, region, day - 1), runOn(plant, region, day)]
    expect(after.point.overallEfficiency).toBeGreaterThan(before.point.overallEfficiency)
    expect(after.point.flow).toBeGreaterThan(before.point.flow)
  }
})

test('standing water falls by what its region loses in a year', () => {
  for (const region of drawBasin(OPTIONS).regions) {
    const [first, later] = [dayOf('2023-01-01'), dayOf('2031-01-01')]
    const fallen = standingDepth(region, 60, first, later) - standingDepth(region, 60, first, first)
    expect(fallen).toBeCloseTo(8 * region.fallPerYear, 1)
  }
})

test('as many testers are biased as asked for, and the bias is stated with its instrument', () => {
  const { firms } = drawBasin({ ...OPTIONS, firms: 10, biased: 3, bias: 0.06 })
  const biased = firms.flatMap(({ testers }) => testers).filter(({ bias }) => bias !== undefined)
  expect(biased.length).toBe(3)
  for (const { bias, kit } of biased) {
    expect(Math.abs(bias!.relative)).toBe(0.06)
    expect(recordsOf(kit).map(({ code }) => code)).toContain(bias!.instrument)
  }
})

test('a biased instrument shows: flows by it are off by its bias, those by others are not', () => {
  const errors = { biased: [] as number[], others: [] as number[] }
  for (const { sheet, context, truth, tester } of simulateBasin({ ...OPTIONS, plants: 600, biased: 1, bias: 0.1 })
    .visits) {
    const { results } = evaluate(sheet, context, latestEdition)
    const flow = results.find(({ quantity }) => quantity === 'flow')!.value / truth.flow - 1
    const { bias } = tester
    if (bias === undefined) errors.others.push(flow)
    else if (sheet.instruments?.flow === bias.instrument) errors.biased.push(flow / Math.sign(bias.relative))
  }
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length
  expect(errors.biased.length).toBeGreaterThan(20)
  expect(mean(errors.biased)).toBeGreaterThan(0.08)
  expect(mean(errors.biased)).toBeLessThan(0.12)
  expect(Math.abs(mean(errors.others))).toBeLessThan(0.01)
})

test('mistakes come in the share asked for, and change nothing else', () => {
  const honest = [...simulateBasin(OPTIONS).visits]
  const clumsy = [...simulateBasin({ ...OPTIONS, mistakes: 0.25 }).visits]
  const made = clumsy.filter(({ mistakes }) => mistakes.length > 0)
  expect(made.length / clumsy.length).toBeGreaterThan(0.2)
  expect(made.length / clumsy.length).toBeLessThan(0.3)
  clumsy.forEach((visit, i) => {
    expect(visit.truth).toEqual(honest[i]!.truth)
    if (visit.mistakes.length === 0) expect(visit.sheet).toEqual(honest[i]!.sheet)
    else expect(visit.sheet).not.toEqual(honest[i]!.sheet)
  })
})

test('an option out of its span is refused with what is allowed', () => {
  expect(() => drawBasin({ ...OPTIONS, plants: 0 })).toThrow('plants is 0; a whole number from 1 to 200000 is allowed.')
  expect(() => drawBasin({ ...OPTIONS, biased: 25 })).toThrow('0 to 24 is allowed')
  expect(() => drawBasin({ ...OPTIONS, mistakes: 1.5 })).toThrow('mistakes is 1.5; a share from 0 to 1 is allowed.')
})

test('everything says that it is invented', () => {
  const basin = drawBasin(OPTIONS)
  expect(basin.invented).toBe(true)
  for (const name of [basin.name, ...basin.firms.map(({ name }) => name)]) expect(name).toContain('(invented)')
})
