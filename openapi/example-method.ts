/** The method, read by whoever wants to know how a figure comes about. */
import type { Recorder } from './recorder.ts'

export async function playMethod(recorder: Recorder): Promise<void> {
  await recorder.play('methodEditions.list', 200, { firstOf: 3 })
  await recorder.play('methodEditions.get', 200, { path: { id: '2026-1' }, firstOf: 3 })
  await recorder.play('methodQuantities.list', 200, { firstOf: 3 })
  await recorder.play('methodQuantities.get', 200, { path: { id: 'overall-plant-efficiency' } })
  await recorder.play('methodFormulas.list', 200, { firstOf: 3 })
  await recorder.play('methodFormulas.get', 200, { path: { id: 'overall-plant-efficiency' } })
  await recorder.play('methodMethods.list', 200, { firstOf: 3 })
  await recorder.play('methodMethods.get', 200, { path: { id: 'pitot-traverse' } })
  await recorder.play('methodFindings.list', 200, { firstOf: 3 })
  await recorder.play('methodFindings.get', 200, { path: { id: 'pumping-level-still-moving' } })
  await recorder.play('methodCautions.list', 200, { firstOf: 3 })
  await recorder.play('methodCautions.get', 200, { path: { id: 'electrical-panel' } })
  await recorder.play('methodUnits.list', 200, { firstOf: 3 })
  await recorder.play('methodFormulas.get', 404, { path: { id: 'guess' } })
}
