import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { type Aftermath, GroupCommit, type GroupCommitLimits, type GroupCommitWork } from './group-commit.ts'

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'setImmediate', 'clearImmediate', 'performance'] })
})
afterEach(() => {
  vi.useRealTimers()
})

const LIMITS: GroupCommitLimits = {
  batchItemsMax: 4,
  batchBytesMax: 40,
  batchesMax: 1,
  waitingItemsMax: 6,
  waitingBytesMax: 60,
  waitMsMax: 1_000,
  settleMsMax: 2_000,
}

class Failure extends Error {
  readonly aftermath: Aftermath
  constructor(aftermath: Aftermath) {
    super(aftermath)
    this.aftermath = aftermath
  }
}

type Step = (items: readonly string[]) => Promise<string[]>
const stored = (item: string): string => `${item} stored`
const success: Step = async (items) => items.map(stored)
const failure =
  (aftermath: Aftermath): Step =>
  async () => {
    throw new Failure(aftermath)
  }
const never: Step = () => new Promise(() => undefined)

/** A group commit whose commits take one step after the other, the last one over and over. */
function group(steps: readonly Step[], work: Partial<GroupCommitWork<string, string>> = {}, limits = {}) {
  const batches: string[][] = []
  const commit = new GroupCommit<string, string>(
    {
      commit: (items) => {
        batches.push([...items])
        return steps[Math.min(batches.length, steps.length) - 1]!(items)
      },
      find: async (items) => items.map(() => undefined),
      aftermathOf: (error) => (error as Failure).aftermath,
      bytesOf: (item) => item.length,
      ...work,
    },
    { ...LIMITS, ...limits },
  )
  return { commit, batches, send: (...items: string[]) => items.map((item) => told(commit.submit(item))) }
}

/** Stored, or the code of the problem, or the message of the error. */
const told = (answer: Promise<string>): Promise<string> =>
  answer.catch((error: { code?: string; message: string }) => error.code ?? error.message)

async function toTheEnd(answers: readonly Promise<string>[]): Promise<string[]> {
  await vi.runAllTimersAsync()
  return Promise.all(answers)
}

describe('gathering', () => {
  test('what comes in one turn goes together, what comes meanwhile goes next, in its order', async () => {
    let release = (): void => undefined
    const slow: Step = async (items) => {
      await new Promise<void>((resolve) => {
        release = resolve
      })
      return success(items)
    }
    const { send, batches } = group([slow, success])
    const first = send('a', 'b')
    await vi.advanceTimersByTimeAsync(1)
    const second = send('c', 'd')
    await vi.advanceTimersByTimeAsync(1)
    expect(batches).toEqual([['a', 'b']])
    release()
    expect(await toTheEnd([...first, ...second])).toEqual(['a', 'b', 'c', 'd'].map(stored))
    expect(batches).toEqual([
      ['a', 'b'],
      ['c', 'd'],
    ])
  })

  test('a batch holds no more items and bytes than allowed; one larger item goes alone', async () => {
    const { send, batches } = group([success], {}, { batchItemsMax: 3, batchBytesMax: 5 })
    await toTheEnd(send('a', 'b', 'c', 'dddd', 'ee', 'ffffff'))
    expect(batches).toEqual([['a', 'b', 'c'], ['dddd'], ['ee'], ['ffffff']])
  })

  test('one item more than may wait is refused at once, and so are bytes', async () => {
    const { send, commit } = group([success])
    const answers = send(...'abcdef', 'g')
    await expect(answers[6]).resolves.toBe('overloaded')
    expect(commit.load).toEqual({ waiting: 6, underWay: 0 })
    expect(await toTheEnd(answers.slice(0, 6))).toEqual([...'abcdef'].map(stored))
    const large = send('x'.repeat(40), 'y'.repeat(21))
    expect(await toTheEnd(large)).toEqual([stored('x'.repeat(40)), 'overloaded'])
  })

  test('what waits too long behind a batch that hangs is refused unsent', async () => {
    const { send, batches } = group([never])
    const [, ...waiting] = send('hangs', ...'abcde')
    await vi.advanceTimersByTimeAsync(500)
    const later = send('later')
    await vi.advanceTimersByTimeAsync(501)
    expect(batches).toEqual([['hangs', 'a', 'b', 'c']])
    expect(await Promise.all(waiting.slice(3))).toEqual(['database-unavailable', 'database-unavailable'])
    await vi.advanceTimersByTimeAsync(501)
    await expect(later[0]).resolves.toBe('database-unavailable')
  })

  test('drain answers when all that waited is answered', async () => {
    const { send, commit } = group([success], {}, { batchItemsMax: 1 })
    const answers = send('a', 'b', 'c')
    const order: string[] = []
    for (const answer of answers) void answer.then((text) => order.push(text))
    void commit.drain().then(() => order.push('drained'))
    await toTheEnd(answers)
    expect(order).toEqual([...['a', 'b', 'c'].map(stored), 'drained'])
    await expect(commit.drain()).resolves.toBeUndefined()
  })
})

describe('a commit that failed', () => {
  test('with nothing stored is told as that, once, without a second try', async () => {
    const { send, batches } = group([failure('nothing')])
    expect(await toTheEnd(send('a', 'b'))).toEqual(['database-unavailable', 'database-unavailable'])
    expect(batches).toHaveLength(1)
  })

  test('and is worth a second try gets it, three in all', async () => {
    const luck = group([failure('again'), failure('again'), success])
    expect(await toTheEnd(luck.send('a', 'b'))).toEqual(['a', 'b'].map(stored))
    const none = group([failure('again')])
    expect(await toTheEnd(none.send('a'))).toEqual(['again'])
    expect(none.batches).toHaveLength(3)
  })

  test('for one item fails that item alone, with its own error', async () => {
    const poisoned: Step = async (items) => {
      if (items.includes('poison')) throw new Failure('one-item')
      return success(items)
    }
    const { send } = group([poisoned])
    expect(await toTheEnd(send('a', 'b', 'poison', 'c'))).toEqual([stored('a'), stored('b'), 'one-item', stored('c')])
  })
})

describe('a commit of which nobody knows', () => {
  test('is asked about before it is sent again: the stored are answered, the others go once more', async () => {
    const { send, batches } = group([failure('unknown'), success], {
      find: async (items) => items.map((item) => (item === 'a' ? 'a found' : undefined)),
    })
    expect(await toTheEnd(send('a', 'b'))).toEqual(['a found', stored('b')])
    expect(batches).toEqual([['a', 'b'], ['b']])
  })

  test('is asked about until there is an answer', async () => {
    let asked = 0
    const { send, batches } = group([failure('unknown')], {
      find: async (items) => {
        asked += 1
        if (asked < 5) throw new Error('no answer')
        return items.map((item) => `${item} found`)
      },
    })
    expect(await toTheEnd(send('a'))).toEqual(['a found'])
    expect(batches).toHaveLength(1)
  })

  test('is told as unknown when the database says nothing for too long, and never sent blindly', async () => {
    const { send, batches } = group([failure('unknown')], {
      find: async () => {
        throw new Error('no answer')
      },
    })
    const started = performance.now()
    expect(await toTheEnd(send('a', 'b'))).toEqual(['timeout', 'timeout'])
    expect(performance.now() - started).toBeLessThanOrEqual(LIMITS.settleMsMax)
    expect(batches).toHaveLength(1)
  })

  test('and came late is found when the second try collides with it', async () => {
    let late = false
    const collides: Step = async () => {
      late = true
      throw new Failure('one-item')
    }
    const { send } = group([failure('unknown'), collides], {
      find: async (items) => items.map((item) => (late ? `${item} found` : undefined)),
    })
    expect(await toTheEnd(send('a', 'b'))).toEqual(['a found', 'b found'])
  })

  test('is never told as "nothing was stored", whatever the tries after it say', async () => {
    for (const after of ['nothing', 'again', 'unknown'] as const) {
      const { send } = group([failure('unknown'), failure(after)])
      expect(await toTheEnd(send('a')), after).toEqual(['timeout'])
    }
  })
})
