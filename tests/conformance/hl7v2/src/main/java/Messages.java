import ca.uhn.hl7v2.DefaultHapiContext;
import ca.uhn.hl7v2.HL7Exception;
import ca.uhn.hl7v2.HapiContext;
import ca.uhn.hl7v2.llp.ExtendedMinLowerLayerProtocol;
import ca.uhn.hl7v2.model.Composite;
import ca.uhn.hl7v2.model.Primitive;
import ca.uhn.hl7v2.model.Type;
import ca.uhn.hl7v2.model.Varies;
import ca.uhn.hl7v2.model.v251.group.ORU_R01_OBSERVATION;
import ca.uhn.hl7v2.model.v251.group.ORU_R01_ORDER_OBSERVATION;
import ca.uhn.hl7v2.model.v251.message.ORU_R01;
import ca.uhn.hl7v2.model.v251.segment.NTE;
import ca.uhn.hl7v2.model.v251.segment.OBX;
import ca.uhn.hl7v2.parser.CanonicalModelClassFactory;
import ca.uhn.hl7v2.parser.EncodingCharacters;
import ca.uhn.hl7v2.parser.Escaping;
import ca.uhn.hl7v2.parser.UnexpectedSegmentBehaviourEnum;
import ca.uhn.hl7v2.validation.ValidationContext;
import ca.uhn.hl7v2.validation.impl.ValidationContextFactory;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.BufferedReader;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Reads HL7 v2.5.1 messages: a file's path a line on standard input, its answer in JSON a line on standard output.
 *
 * <p>The bytes go through the protocol that hospitals send them by, which decodes them by MSH-18. The message is parsed
 * twice: with every rule of the default validation, an unexpected segment being an error; and for its values, in which
 * all escape sequences of section 2.7 are undone after HAPI has read them, as it undoes but some itself.
 */
public final class Messages {
  private static final Pattern SEQUENCE = Pattern.compile("\\\\([^\\\\]*)\\\\");

  private static final Escaping NONE = new Escaping() {
    @Override
    public String escape(String text, EncodingCharacters characters) {
      return text;
    }

    @Override
    public String unescape(String text, EncodingCharacters characters) {
      return text;
    }
  };

  private static String unescaped(String text) {
    Matcher found = SEQUENCE.matcher(text);
    StringBuilder plain = new StringBuilder();
    while (found.find()) {
      found.appendReplacement(plain, Matcher.quoteReplacement(meaning(found.group(1))));
    }
    return found.appendTail(plain).toString();
  }

  private static String meaning(String code) {
    return switch (code) {
      case "F" -> "|";
      case "S" -> "^";
      case "T" -> "&";
      case "R" -> "~";
      case "E" -> "\\";
      case ".br" -> "\n";
      default -> hexadecimal(code);
    };
  }

  private static String hexadecimal(String code) {
    if (code.charAt(0) != 'X') {
      throw new IllegalArgumentException("an escape sequence that the library never writes");
    }
    byte[] bytes = new byte[code.length() / 2];
    for (int i = 0; i < bytes.length; i++) {
      bytes[i] = (byte) Integer.parseInt(code.substring(1 + 2 * i, 3 + 2 * i), 16);
    }
    return new String(bytes, StandardCharsets.UTF_8);
  }

  public static void main(String[] arguments) throws Exception {
    PrintStream answers = new PrintStream(System.out, false, StandardCharsets.UTF_8);
    HapiContext strict = context(ValidationContextFactory.defaultValidation());
    HapiContext plain = context(ValidationContextFactory.noValidation());
    plain.getParserConfiguration().setEscaping(NONE);
    BufferedReader paths = new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8));
    ObjectMapper json = new ObjectMapper();
    for (String path; (path = paths.readLine()) != null; ) {
      answers.println(json.writeValueAsString(answer(strict, plain, Files.readAllBytes(Path.of(path)))));
      answers.flush();
    }
  }

  private static HapiContext context(ValidationContext rules) {
    HapiContext context = new DefaultHapiContext(rules);
    context.setModelClassFactory(new CanonicalModelClassFactory("2.5.1"));
    context.getParserConfiguration()
        .setUnexpectedSegmentBehaviour(UnexpectedSegmentBehaviourEnum.THROW_HL7_EXCEPTION);
    return context;
  }

  private static Object answer(HapiContext strict, HapiContext plain, byte[] bytes) throws Exception {
    String text = received(bytes);
    try {
      strict.getPipeParser().parse(text);
    } catch (HL7Exception refused) {
      return Map.of("refused", refused.toString());
    }
    ORU_R01 message = (ORU_R01) plain.getPipeParser().parse(text);
    List<Object> reports = new ArrayList<>();
    for (ORU_R01_ORDER_OBSERVATION order : message.getPATIENT_RESULT().getORDER_OBSERVATIONAll()) {
      List<Object> rows = new ArrayList<>();
      for (ORU_R01_OBSERVATION observation : order.getOBSERVATIONAll()) {
        rows.add(row(observation));
      }
      reports.add(Map.of("status", order.getOBR().getResultStatus().getValueOrEmpty(), "rows", rows));
    }
    return Map.of(
        "name", parts(message.getPATIENT_RESULT().getPATIENT().getPID().getPatientName(0)),
        "code", parts(message.getMSH().getMessageType()),
        "reports", reports);
  }

  /** Return the text that a receiver gets of the bytes: framed, sent, and decoded by the message's own MSH-18. */
  private static String received(byte[] bytes) throws Exception {
    ByteArrayOutputStream framed = new ByteArrayOutputStream();
    framed.write(0x0b);
    framed.write(bytes);
    framed.write(0x1c);
    framed.write(0x0d);
    return new ExtendedMinLowerLayerProtocol().getReader(new ByteArrayInputStream(framed.toByteArray())).getMessage();
  }

  private static Map<String, Object> row(ORU_R01_OBSERVATION observation) throws HL7Exception {
    OBX obx = observation.getOBX();
    List<List<String>> values = new ArrayList<>();
    for (Varies value : obx.getObservationValue()) {
      values.add(parts(value.getData()));
    }
    List<String> notes = new ArrayList<>();
    for (NTE note : observation.getNTEAll()) {
      StringBuilder whole = new StringBuilder();
      for (Type comment : note.getComment()) {
        whole.append(text(comment));
      }
      notes.add(whole.toString());
    }
    Map<String, Object> row = new LinkedHashMap<>();
    row.put("type", obx.getValueType().getValueOrEmpty());
    row.put("code", parts(obx.getObservationIdentifier()));
    row.put("sub_id", obx.getObservationSubID().getValueOrEmpty());
    row.put("values", values);
    row.put("flag", obx.getAbnormalFlagsReps() == 0 ? "" : obx.getAbnormalFlags(0).getValueOrEmpty());
    row.put("status", obx.getObservationResultStatus().getValueOrEmpty());
    row.put("notes", notes);
    return row;
  }

  /** Return the components of a value, empty ones at its end left out. */
  private static List<String> parts(Type type) throws HL7Exception {
    List<String> parts = new ArrayList<>();
    if (type instanceof Composite composite) {
      for (Type component : composite.getComponents()) {
        parts.add(text(component));
      }
    } else {
      parts.add(text(type));
    }
    while (!parts.isEmpty() && parts.get(parts.size() - 1).isEmpty()) {
      parts.remove(parts.size() - 1);
    }
    return parts;
  }

  /** Return a component as text, its subcomponents joined. */
  private static String text(Type type) throws HL7Exception {
    if (type instanceof Primitive primitive) {
      return primitive.getValue() == null ? "" : unescaped(primitive.getValue());
    }
    if (type instanceof Varies varies) {
      return text(varies.getData());
    }
    return String.join("&", parts(type));
  }
}
