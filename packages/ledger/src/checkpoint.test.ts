import { describe, expect, test } from 'vitest'
import { toBase64 } from './bytes.ts'
import { checkpointBody, parseCheckpoint } from './checkpoint.ts'
import { EMPTY_ROOT } from './merkle.ts'

describe('checkpoint', () => {
  // C2SP tlog-checkpoint, example; looked up.
  test('printed by its specification is read and written', () => {
    const body = 'example.com/behind-the-sofa\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n'
    const checkpoint = parseCheckpoint(body)
    expect([checkpoint.origin, checkpoint.size]).toEqual(['example.com/behind-the-sofa', 20_852_163])
    expect(toBase64(checkpoint.root)).toBe('CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=')
    expect(checkpointBody(checkpoint)).toBe(body)
  })

  test('of an empty log has size 0', () => {
    expect(checkpointBody({ origin: 'a', size: 0, root: EMPTY_ROOT }).split('\n')[1]).toBe('0')
  })

  const root = `${toBase64(EMPTY_ROOT)}\n`
  test.each([
    ['a size with a zero before it', `a\n07\n${root}`],
    ['a size with a sign', `a\n+7\n${root}`],
    ['no size', `a\n\n${root}`],
    ['a size beyond whole numbers', `a\n9007199254740993\n${root}`],
    ['a size in hexadecimal', `a\n0x7\n${root}`],
    ['a root of 31 bytes', `a\n7\n${toBase64(EMPTY_ROOT.slice(1))}\n`],
    ['a root that is no base 64', 'a\n7\nroot\n'],
    ['no origin', `\n7\n${root}`],
    ['a fourth line', `a\n7\n${root}more\n`],
    ['no newline at its end', `a\n7\n${root.trimEnd()}`],
    ['the first line of a receipt', `liftledger-receipt/v1\n7\n${root}`],
    ['the first line of a cosignature', `cosignature/v1\n7\n${root}`],
  ])('with %s is refused', (_, body) => {
    expect(() => parseCheckpoint(body)).toThrow(expect.objectContaining({ code: 'checkpoint-malformed' }))
  })

  test('can not be written with a name of two lines', () => {
    expect(() => checkpointBody({ origin: 'a\n1', size: 7, root: EMPTY_ROOT })).toThrow(/can not be read/)
    expect(() => checkpointBody({ origin: 'a', size: 1.5, root: EMPTY_ROOT })).toThrow(/no size/)
  })
})
