/** The words of letters about accounts. */
import { expect, test } from 'vitest'
import { forgottenLetter, invitationLetter } from '../../server/people/letters.ts'
import { ROLES } from '../../server/store/schema.ts'

const READER = { personId: 7, name: 'Ann <b>"& Example', email: 'ann@example.com' }
const WITH = { firm: '<script>Dry & Co', address: 'https://under.example/password#abc', onceKey: 'k' }

test('an invitation says what it is for, how long it is good, and to whom it goes', () => {
  const [contractor, technician, owner] = ROLES.map((role) => invitationLetter(READER, { ...WITH, role }))
  expect(owner).toMatchObject({
    to: READER.email,
    name: READER.name,
    personId: 7,
    kind: 'invitation',
    secret: true,
    onceKey: 'k',
  })
  expect(owner!.subject).toBe('The moisture record of your house: your invitation')
  expect(owner!.text).toContain('measures the moisture under your house')
  expect(technician!.text).toContain('keeps its moisture records of houses')
  expect(technician).toEqual(contractor)
  for (const { text } of [owner!, technician!]) {
    expect(text).toContain('once, within 7 days')
    expect(text).toContain(`\n${WITH.address}\n`)
  }
})

test('a letter about a forgotten password says what to do when it was somebody else', () => {
  const { text, subject, kind } = forgottenLetter(READER, WITH)
  expect([subject, kind]).toEqual(['A new password for Underjoist', 'forgotten password'])
  expect(text).toContain('within an hour')
  expect(text).toContain('If it was not you, do nothing')
})

test('the HTML says what the text says, and what people typed is text in it', () => {
  for (const letter of [forgottenLetter(READER, WITH), invitationLetter(READER, { ...WITH, role: 'owner' })]) {
    expect(letter.html).not.toMatch(/<script|<b>/)
    const words = letter.html
      .replace(/<[^>]*>/g, ' ')
      .replace(/&lt;/g, '<')
      .replace(/&gt;/g, '>')
      .replace(/&quot;/g, '"')
      .replace(/&amp;/g, '&')
    expect(words.replace(/\s+/g, ' ').trim()).toBe(letter.text.replace(/\s+/g, ' ').trim())
    expect(letter.html).toContain(`<a href="${WITH.address}">`)
  }
})

test('no subject holds anything that was typed, and a firm without a name is "we"', () => {
  const bad = { ...READER, name: 'x\r\nBcc: all@example.com' }
  for (const { subject } of [forgottenLetter(bad, WITH), invitationLetter(bad, { ...WITH, role: 'owner' })]) {
    expect(subject).toMatch(/^[A-Za-z :]+$/)
  }
  const { text } = invitationLetter(READER, { ...WITH, firm: '', role: 'technician' })
  expect(text).toContain('We keep our moisture records')
})
