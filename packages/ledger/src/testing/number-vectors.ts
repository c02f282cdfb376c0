/**
 * The numbers that are published beside RFC 8785: a rule that makes a sequence of values, and the SHA-256 of the lines
 * `bits in hexadecimal,canonical text` of its beginning.
 *
 * Source: repository cyberphone/json-canonicalization, testdata/README.md (rule, edge values, hashes); looked up. Edge
 * values come first, then the 2,000 values from the smallest normal number up, then bytes of a chain of SHA-256 that
 * begins with 32 zero bytes, read as little-endian numbers, without zeros, infinities and what is no number.
 */
import { createHash } from 'node:crypto'
import { sha256 } from '#sha256'
import { canonicalJson } from '../canonical-json.ts'
import { same, type VectorSuite } from './suite.ts'

/** Zeros and smallest numbers. */
const ZEROS = '0000000000000000 8000000000000000 0000000000000001 8000000000000001'

/** Thirds of powers of ten, negative ones; the same follow without their sign. */
const THIRDS = `
  c46696695dbd1cc3 c43211ede4974a35 c3fce97ca0f21056 c3c7213080c1a6ac c39280f39a348556 c35d9b1f5d20d557
  c327af4c4a80aaac c2f2f2a36ecd5556 c2be51057e155558 c28840d131aaaaac c253670dc1555557 c21f0b4935555557
  c1e8d5d42aaaaaac c1b3de4355555556 c17fca0555555556 c1496e6aaaaaaaab c114585555555555 c0e046aaaaaaaaab
  c0aa0aaaaaaaaaaa c074d55555555555 c040aaaaaaaaaaab c00aaaaaaaaaaaab bfd5555555555555 bfa1111111111111
  bf6b4e81b4e81b4f bf35d867c3ece2a5 bf0179ec9cbd821e becbf647612f3696 be965e9f80f29212 be61e54c672874db
  be2ca213d840baf8 bdf6e80fe033c8c6 bdc2533fe68fd3d2 bd8d51ffd74c861c bd5774ccac3d3817 bd22c3d6f030f9ac
  bcee0624b3818f79 bcb804ea293472c7 bc833721ba905bd3 bc4ebe9c5db3c61e bc18987d17c304e5 bbe3ad30dfcf371d
  bbaf7b816618582f bb792f9ab81379bf bb442615600f9499 bb101e77800c76e1 bad9ca58cce0be35 baa4a1e0a3e6fe90
  ba708180831f320d ba3a68cd9e985016
`

/** Powers of ten, values near one, ends of the range and of the whole numbers, places where the form changes. */
const EDGES = `
  4024000000000000 4014000000000000 3fe0000000000000 3fa999999999999a 3f747ae147ae147b 3f40624dd2f1a9fc
  3f0a36e2eb1c432d 3ed4f8b588e368f1 3ea0c6f7a0b5ed8d 3e6ad7f29abcaf48 3e35798ee2308c3a 3ed539223589fa95
  3ed4ff26cd5a7781 3ed4f95a762283ff 3ed4f8c60703520c 3ed4f8b72f19cd0d 3ed4f8b5b31c0c8d 3ed4f8b58d1c461a
  3ed4f8b5894f7f0e 3ed4f8b588ee37f3 3ed4f8b588e47da4 3ed4f8b588e3849c 3ed4f8b588e36bb5 3ed4f8b588e36937
  3ed4f8b588e368f8 3ed4f8b588e368f1 3ff0000000000000 bff0000000000000 bfeffffffffffffa bfeffffffffffffb
  3feffffffffffffa 3feffffffffffffb 3feffffffffffffc 3feffffffffffffe bfefffffffffffff bfefffffffffffff
  3fefffffffffffff 3fefffffffffffff 3fd3333333333332 3fd3333333333333 3fd3333333333334 0010000000000000
  000ffffffffffffd 000fffffffffffff 7fefffffffffffff ffefffffffffffff 4340000000000000 c340000000000000
  4430000000000000 44b52d02c7e14af5 44b52d02c7e14af6 44b52d02c7e14af7 444b1ae4d6e2ef4e 444b1ae4d6e2ef4f
  444b1ae4d6e2ef50 3eb0c6f7a0b5ed8c 3eb0c6f7a0b5ed8d 41b3de4355555553 41b3de4355555554 41b3de4355555555
  41b3de4355555556 41b3de4355555557 becbf647612f3696 43143ff3c1cb0959
`

const bitsOf = (text: string): bigint[] => (text.match(/[0-9a-f]{16}/g) ?? []).map((hex) => BigInt(`0x${hex}`))
const SIGN = 1n << 63n
const SMALLEST_NORMAL = 1n << 52n
const SERIAL = 2_000

/** The values as 64 bits, in order, without end. */
function* published(): Generator<bigint> {
  const thirds = bitsOf(THIRDS)
  yield* bitsOf(ZEROS)
  yield* thirds
  yield* thirds.map((bits) => bits ^ SIGN)
  yield* bitsOf(EDGES)
  for (let n = 0; n < SERIAL; n++) yield SMALLEST_NORMAL + BigInt(n)
  for (let block = sha256(new Uint8Array(32)); ; block = sha256(block)) {
    const view = new DataView(block.buffer, block.byteOffset, block.byteLength)
    for (let at = 0; at < 32; at += 8) {
      const value = view.getFloat64(at, true)
      if (value !== 0 && Number.isFinite(value)) yield view.getBigUint64(at, true)
    }
  }
}

const HASHES: readonly (readonly [lines: number, sha256: string])[] = [
  [1_000, 'be18b62b6f69cdab33a7e0dae0d9cfa869fda80ddc712221570f9f40a5878687'],
  [10_000, 'b9f7a8e75ef22a835685a52ccba7f7d6bdc99e34b010992cbc5864cd12be6892'],
  [100_000, '22776e6d4b49fa294a0d0f349268e5c28808fe7e0cb2bcbe28f63894e494d4c7'],
]

/** SHA-256 of that many lines. */
export function hashOfLines(lines: number): string {
  const hash = createHash('sha256')
  const view = new DataView(new ArrayBuffer(8))
  let left = lines
  for (const bits of published()) {
    view.setBigUint64(0, bits)
    hash.update(`${bits.toString(16)},${canonicalJson(view.getFloat64(0))}\n`)
    if (--left === 0) break
  }
  return hash.digest('hex')
}

/** A hash of a beginning vouches for the lines since the one before. */
export const numberSuite: VectorSuite = {
  id: 'vectors.numbers',
  source: 'cyberphone/json-canonicalization, numbers by their rule (RFC 8785, appendix B)',
  full: true,
  cases: HASHES.map(([lines, due], i) => ({
    name: `first ${lines} lines`,
    count: lines - (HASHES[i - 1]?.[0] ?? 0),
    check: () => same(hashOfLines(lines), due, 'the hash'),
  })),
}
