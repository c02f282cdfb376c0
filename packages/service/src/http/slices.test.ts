import { setTimeout as sleep } from 'node:timers/promises'
import { expect, test } from 'vitest'
import { Slices } from './slices.ts'

test('a slice ends after some milliseconds, and what waited has its turn before the next', async () => {
  const slices = new Slices()
  expect(slices.isOver).toBe(false)
  const order: string[] = []
  setImmediate(() => order.push('request'))
  await sleep(0)
  while (!slices.isOver);
  setImmediate(() => order.push('another'))
  await slices.next()
  order.push('work')
  expect(order).toEqual(['request', 'another', 'work'])
  expect(slices.isOver).toBe(false)
})
