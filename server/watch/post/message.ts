/** One letter as an internet message (RFC 5322): its headers, its words twice, its picture and its calendar. */
import type { SendMailOptions } from 'nodemailer'
import type { Letter } from '../../store/letters.ts'
import { oneLine } from './oneLine.ts'

/**
 * Name and address, no more: what could begin another recipient or another line of SMTP is no address. Quoted local parts
 * are allowed by RFC 5321 and used by nobody we would write to.
 */
const ADDRESS = /^[^\s<>()[\]\\,;:@"\p{C}]{1,64}@[^\s<>()[\]\\,;:@"\p{C}]{1,255}$/u

export const isAddress = (text: string): boolean => ADDRESS.test(text)

/** Host part of an address such as "Example Drainage <letters@example.com>". */
export const domainOf = (from: string): string | null =>
  /@([A-Za-z0-9.-]+)>?\s*$/.exec(from)?.[1]?.toLowerCase() ?? null

/** @param from who sends, as LETTERS_FROM has it */
export function messageOf(letter: Letter, from: string): SendMailOptions {
  const { messageId, threadId, picture, pictureAlt, calendar, unsubscribeUrl } = letter
  // A name of its own in every letter, as RFC 2045 asks: threads show many pictures side by side.
  const contentId = `picture.${messageId.slice(1, -1)}`
  const attachments: NonNullable<SendMailOptions['attachments']> = []
  if (picture !== null) {
    attachments.push({
      cid: contentId,
      filename: 'picture.png',
      content: picture,
      contentType: 'image/png',
      contentDisposition: 'inline',
      headers: { 'Content-Description': oneLine(pictureAlt ?? '') },
    })
  }
  if (calendar !== null) {
    attachments.push({
      filename: 'upkeep.ics',
      content: calendar,
      contentType: 'text/calendar; charset=utf-8; method=PUBLISH',
    })
  }
  return {
    from: oneLine(from),
    to: { name: oneLine(letter.toName), address: letter.toAddress },
    subject: oneLine(letter.subject),
    text: letter.text,
    html: letter.html.replaceAll('cid:picture"', `cid:${contentId}"`),
    attachments,
    messageId,
    date: new Date(letter.createdAt),
    ...(threadId !== null && { inReplyTo: threadId, references: [threadId] }),
    headers: { 'Auto-Submitted': 'auto-generated', ...stopHeaders(unsubscribeUrl) },
    disableFileAccess: true,
    disableUrlAccess: true,
  }
}

/** RFC 2369, and RFC 8058 where its condition is met: one click goes over TLS alone. */
function stopHeaders(url: string | null): Record<string, string> {
  if (url === null) return {}
  const header = { 'List-Unsubscribe': `<${url}>` }
  return url.startsWith('https:') ? { ...header, 'List-Unsubscribe-Post': 'List-Unsubscribe=One-Click' } : header
}
