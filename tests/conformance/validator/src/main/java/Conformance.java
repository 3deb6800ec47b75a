import ca.uhn.fhir.context.FhirContext;
import ca.uhn.fhir.context.support.DefaultProfileValidationSupport;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.BufferedReader;
import java.io.FileDescriptor;
import java.io.FileOutputStream;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.Map;
import java.util.stream.Stream;
import java.util.stream.StreamSupport;

/**
 * The reference engine for one FHIR release, the argument (R4, R4B, R5), offline. Standard input: a request a line, in
 * JSON. Standard output: its answer, a line.
 *
 * <ul>
 *   <li><code>{"know": [file or folder…], "as": name}</code>: definitions to know in validations of that name
 *   <li><code>{"validate": [file…], "as": name}</code>: for each file a list of messages of warning and above
 *   <li><code>{"variables": [[name, expression]…], "expressions": […]}</code>: what resources are asked from now on
 *   <li><code>{"resource": …}</code>: for each expression a list of values, or a text where the engine refuses it
 * </ul>
 */
public final class Conformance {
  private static final ObjectMapper JSON = new ObjectMapper();

  private final FhirContext context;
  private final DefaultProfileValidationSupport standard;
  private final Map<String, Validation> validations = new HashMap<>();
  private final Paths paths;

  private Conformance(FhirContext context) {
    this.context = context;
    standard = new DefaultProfileValidationSupport(context);
    paths = new Paths(context);
  }

  public static void main(String[] arguments) throws Exception {
    PrintStream answers = new PrintStream(new FileOutputStream(FileDescriptor.out), false, StandardCharsets.UTF_8);
    System.setOut(System.err); // the engine's own prints must not mix with the answers
    Conformance engine = new Conformance(switch (arguments[0]) {
      case "R4" -> FhirContext.forR4();
      case "R4B" -> FhirContext.forR4B();
      case "R5" -> FhirContext.forR5();
      default -> throw new IllegalArgumentException(arguments[0]);
    });
    BufferedReader requests = new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8));
    for (String request; (request = requests.readLine()) != null; ) {
      answers.println(JSON.writeValueAsString(engine.answer(JSON.readTree(request))));
      answers.flush();
    }
    System.exit(0); // the engine's caches may hold threads
  }

  private Object answer(JsonNode request) throws IOException {
    if (request.has("know")) {
      validations.put(name(request), new Validation(context, standard, files(request.get("know")).toList()));
      return true;
    }
    if (request.has("validate")) {
      Validation validation = validations.get(name(request));
      return files(request.get("validate")).toList().parallelStream().map(validation::messages).toList();
    }
    if (request.has("expressions")) {
      paths.ask(request);
      return true;
    }
    return paths.answer(request.get("resource"));
  }

  private static String name(JsonNode request) {
    return request.get("as").asText();
  }

  private static Stream<Path> files(JsonNode texts) {
    return StreamSupport.stream(texts.spliterator(), false).map(JsonNode::asText).map(Path::of);
  }
}
